import type { CaskCard } from '@rundlet/contracts';
import type { CaskBrief } from '../../data/cask.ts';
import { Card, Figure, Figures, format, Notice, type Provenance } from '../../kit/kit.ts';

/** Book figures with their standing, age and loss. */
export function CaskFigures({ brief, card }: { brief: CaskBrief; card: CaskCard | null }) {
  const { figures } = brief;
  if (!figures) return null;
  const last = card?.gauges.find((gauge) => !gauge.late);
  const measured = last !== undefined && sameFigures(last.figures, figures);
  const origin: Provenance = measured ? 'measured' : 'calculated';
  const source = measured
    ? `at 20 °C, gauged ${format.date(last.takenAt)}`
    : brief.lastGaugedAt
      ? `at 20 °C, the book since the gauge of ${format.date(brief.lastGaugedAt)}`
      : 'at 20 °C, by the book';
  const u = measured ? last.uncertainties : null;
  return (
    <Card title="In the cask" aside={<span className="soft small">{source}</span>}>
      <div className="stack">
        <Figures>
          <Figure
            label="Bulk"
            value={figures.bulkLitresAt20C}
            unit="L"
            origin={origin}
            plusMinus={u?.litres}
          />
          <Figure
            label="Strength"
            value={figures.strengthPercentVol}
            unit="% vol"
            decimals={2}
            origin={origin}
            plusMinus={u?.percentVol}
          />
          <Figure
            label="Pure alcohol"
            value={figures.litresPureAlcohol}
            unit="LPA"
            decimals={2}
            origin="calculated"
            plusMinus={u?.litresPureAlcohol}
          />
        </Figures>
        {card && <AgeAndLoss card={card} />}
      </div>
    </Card>
  );
}

function AgeAndLoss({ card }: { card: CaskCard }) {
  const { ageYears, lossSinceFill, filling, account } = card;
  return (
    <>
      <Figures>
        <Figure
          label="Age in oak"
          value={ageYears}
          unit="years"
          origin="calculated"
          note={filling && <>from the fill of {format.date(filling.filledAt)}</>}
        />
        {lossSinceFill && (
          <>
            <Figure
              label="Loss since fill"
              value={lossSinceFill.bulkLitres}
              unit="L"
              origin="calculated"
            />
            <Figure
              label="Loss since fill"
              value={lossSinceFill.litresPureAlcohol}
              unit="LPA"
              decimals={2}
              origin="calculated"
            />
            <Figure
              label="Loss of original LPA"
              value={lossSinceFill.percentOfOriginalPerYear}
              unit="% a year"
              decimals={2}
              origin="calculated"
            />
          </>
        )}
      </Figures>
      {account && <p className="soft small">Held in the account of {account.name}.</p>}
      {card.cask.geometry.basis === 'assumed' && (
        <Notice>
          The cask’s three lengths are assumed from its kind, so dips are as uncertain as that:
          measure them when it matters.
        </Notice>
      )}
    </>
  );
}

const sameFigures = (
  a: { bulkLitresAt20C: number; strengthPercentVol: number },
  b: { bulkLitresAt20C: number; strengthPercentVol: number },
): boolean =>
  Math.abs(a.bulkLitresAt20C - b.bulkLitresAt20C) < 0.01 &&
  Math.abs(a.strengthPercentVol - b.strengthPercentVol) < 0.005;
