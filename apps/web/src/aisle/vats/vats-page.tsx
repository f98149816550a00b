import { api, type VatView } from '@rundlet/contracts';
import { Link } from 'wouter';
import { useApi } from '../../data/client.ts';
import { Empty, Facts, format, Loaded, Mark, Page } from '../../kit/kit.ts';
import { VatCaution } from '../cautions.tsx';

export default function VatsPage() {
  const vats = useApi(api.places.vats);
  return (
    <Page title="Vats" lead="Vats and receivers, and what each holds by the book.">
      <Loaded query={vats} what="Asking for the vats">
        {({ rows }) =>
          rows.length === 0 ? (
            <Empty title="No vats yet">A keeper sets them up.</Empty>
          ) : (
            <ul className="bare-list grid">
              {rows.map((view) => (
                <VatTile key={view.vat.id} view={view} />
              ))}
            </ul>
          )
        }
      </Loaded>
      <VatCaution />
    </Page>
  );
}

function VatTile({ view: { vat, origins } }: { view: VatView }) {
  const { figures } = vat;
  const empty = figures.bulkLitresAt20C < 0.05;
  const full = figures.bulkLitresAt20C / vat.capacityLitres;
  const [first] = origins.lots;
  return (
    <li className="card stack-tight">
      <div className="line-spread">
        <h2>
          <Link href={`/vats/${vat.id}`}>{vat.name}</Link>
        </h2>
        {vat.dutyStatus === 'paid' && <Mark>duty-paid</Mark>}
        {empty ? (
          <Mark icon="vat">empty</Mark>
        ) : (
          <Mark tone="good">{format.percent(full, 0)} full</Mark>
        )}
      </div>
      <meter className="vat-meter" min={0} max={1} value={full} aria-label="How full" />
      <Facts
        facts={[
          ['Holds', format.litres(figures.bulkLitresAt20C)],
          empty ? null : ['Strength', format.strength(figures.strengthPercentVol, 2)],
          empty ? null : ['Pure alcohol', format.pureAlcohol(figures.litresPureAlcohol)],
          ['Room for', format.litres(vat.capacityLitres, 0)],
          first
            ? [
                'Lot',
                origins.lots.length === 1
                  ? first.name || first.code
                  : `${first.name || first.code} and ${format.number(origins.lots.length - 1)} more`,
              ]
            : null,
        ]}
      />
    </li>
  );
}
