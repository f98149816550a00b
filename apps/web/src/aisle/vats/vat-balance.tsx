import type { VatView } from '@rundlet/contracts';
import { Card, Figure, Figures, format } from '../../kit/kit.ts';
import { Shares } from '../cask/cask-origins.tsx';

/** What a vat holds, by the book, and where it came from. */
export function VatBalance({ view: { vat, origins } }: { view: VatView }) {
  const { figures } = vat;
  const full = figures.bulkLitresAt20C / vat.capacityLitres;
  return (
    <Card title={vat.name} aside={<span className="code soft small">{vat.code}</span>}>
      <div className="stack">
        <Figures>
          <Figure
            label="Bulk"
            value={figures.bulkLitresAt20C}
            unit="L"
            origin="calculated"
            extra={`${format.percent(full, 0)} of ${format.litres(vat.capacityLitres, 0)}`}
          />
          <Figure
            label="Strength"
            value={figures.strengthPercentVol}
            unit="% vol"
            decimals={2}
            origin="calculated"
          />
          <Figure
            label="Pure alcohol"
            value={figures.litresPureAlcohol}
            unit="LPA"
            decimals={2}
            origin="calculated"
          />
        </Figures>
        <meter
          className="vat-meter"
          min={0}
          max={1}
          value={full}
          aria-label="How full the vat is"
        />
        {origins.lots.length > 0 && (
          <Shares title="Spirit lots in it" kind="spirit-lot" shares={origins.lots} />
        )}
      </div>
    </Card>
  );
}
