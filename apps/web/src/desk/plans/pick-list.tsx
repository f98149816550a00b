import type { PlanView } from '@rundlet/contracts';
import { Link } from 'wouter';
import { Card, format, Mark, Table } from '../../kit/kit.ts';

/** The casks in walking order, to be ticked off, on paper or on the screen. */
export function PickList({ view }: { view: PlanView }) {
  const left = view.picks.filter((p) => !p.drawn).length;
  return (
    <Card
      title="Pick list, in walking order"
      aside={<span>{left === 0 ? 'all drawn' : `${format.count(left, 'cask')} to draw`}</span>}
    >
      <Table
        caption="Pick list in walking order"
        rows={view.picks}
        rowKey={(p) => p.fillingId}
        columns={[
          { key: 'place', title: 'Position', cell: (p) => p.positionCode ?? 'no position' },
          { key: 'row', title: 'Row', cell: (p) => p.row ?? '–' },
          {
            key: 'cask',
            title: 'Cask',
            cell: (p) => <Link href={`/casks/${p.caskId}`}>{p.caskCode}</Link>,
          },
          { key: 'what', title: 'What it is', cell: (p) => p.line },
          {
            key: 'take',
            title: 'Take, L (forecast)',
            numeric: true,
            cell: (p) =>
              p.whole
                ? `all, ${format.number(p.takeLitresAt20C, 1)}`
                : format.number(p.takeLitresAt20C, 1),
          },
          {
            key: 'drawn',
            title: 'Drawn',
            cell: (p) =>
              p.drawn ? <Mark tone="good">drawn</Mark> : <Mark icon="wait">to draw</Mark>,
          },
        ]}
      />
    </Card>
  );
}
