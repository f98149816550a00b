import {
  Card,
  CodeText,
  Figure,
  Figures,
  format,
  LinkButton,
  Table,
  type Column,
} from '../../kit/kit.ts';
import { runTotal, type FilledCask, type FillRun } from './run.ts';

const columns: readonly Column<FilledCask>[] = [
  { key: 'code', title: 'Cask', cell: ({ code }) => <CodeText code={code} /> },
  {
    key: 'litres',
    title: 'L',
    numeric: true,
    cell: (cask) => format.number(cask.bulkLitresAt20C, 1),
  },
  {
    key: 'lpa',
    title: 'LPA',
    numeric: true,
    cell: (cask) => format.number(cask.litresPureAlcohol, 2),
  },
  { key: 'place', title: 'Position', cell: ({ place }) => shortPlace(place) },
];

/** `row C · bay 8 · level 1 · slot L` as `C 8 1 L`: the table has no room for more. */
const shortPlace = (place: string | null): string =>
  place?.replace(/\b(row|bay|level|slot) /g, '').replaceAll(' · ', ' ') ?? '–';

/** The run so far. */
export function FilledList({ run }: { run: FillRun }) {
  const total = runTotal(run);
  if (run.filled.length === 0) return null;
  return (
    <Card title={format.count(run.filled.length, 'cask filled', 'casks filled')}>
      <div className="stack">
        <Figures>
          <Figure label="Into casks" value={total.litres} unit="L" origin="calculated" />
          <Figure
            label="Into casks"
            value={total.litresPureAlcohol}
            unit="LPA"
            decimals={2}
            origin="calculated"
            extra={`of ${format.number(run.startLitresPureAlcohol, 2)} at the start`}
          />
        </Figures>
        <Table
          caption="Casks of this run, newest first"
          columns={columns}
          rows={run.filled.toReversed()}
          rowKey={({ caskId }) => caskId}
        />
        <div>
          <LinkButton
            kind={run.closedWith === null ? 'plain' : 'main'}
            icon="label"
            to={`/labels?kind=cask&ids=${run.filled.map(({ caskId }) => caskId).join(',')}`}
          >
            Print their labels
          </LinkButton>
        </div>
      </div>
    </Card>
  );
}
