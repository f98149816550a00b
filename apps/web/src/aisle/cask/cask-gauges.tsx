import type { CaskCard, Gauge } from '@rundlet/contracts';
import { Card, Empty, format, Mark, Table, type Column } from '../../kit/kit.ts';
import { KEEPER_WORDS, suretyWords } from '../gauging/suspicion-words.ts';

const VERDICT: Record<
  Gauge['verdict'],
  { words: string; tone: 'good' | 'caution' | 'bad' | 'plain' }
> = {
  'as-expected': { words: 'as expected', tone: 'good' },
  'possible-leak': { words: 'possible leak', tone: 'bad' },
  'possible-blunder': { words: 'doubtful reading', tone: 'caution' },
  'no-forecast': { words: 'no forecast stood', tone: 'plain' },
};

const columns: readonly Column<Gauge>[] = [
  { key: 'at', title: 'Taken', cell: (gauge) => <time>{format.date(gauge.takenAt)}</time> },
  { key: 'method', title: 'By', cell: (gauge) => gauge.method },
  {
    key: 'litres',
    title: 'Bulk, L',
    numeric: true,
    cell: (gauge) => format.number(gauge.figures.bulkLitresAt20C, 1),
  },
  {
    key: 'strength',
    title: '% vol',
    numeric: true,
    cell: (gauge) => format.number(gauge.figures.strengthPercentVol, 2),
  },
  {
    key: 'lpa',
    title: 'LPA',
    numeric: true,
    cell: (gauge) => format.number(gauge.figures.litresPureAlcohol, 2),
  },
  {
    key: 'expected',
    title: 'Forecast LPA (90 %)',
    numeric: true,
    cell: ({ expected }) =>
      expected
        ? `${format.number(expected.litresPureAlcohol, 2)} (${format.number(expected.low90.litresPureAlcohol, 1)} to ${format.number(expected.high90.litresPureAlcohol, 1)})`
        : '–',
  },
  {
    key: 'verdict',
    title: 'Against it',
    cell: (gauge) => (
      <>
        <Mark tone={VERDICT[gauge.verdict].tone}>{VERDICT[gauge.verdict].words}</Mark>
        {gauge.surety && <span className="small soft"> {suretyWords(gauge.surety)}</span>}
        {gauge.keeperVerdict && (
          <span className="small soft"> keeper: {KEEPER_WORDS[gauge.keeperVerdict]}</span>
        )}
        {gauge.late && <span className="small soft"> came in late</span>}
      </>
    ),
  },
];

export function CaskGauges({ card }: { card: CaskCard }) {
  return (
    <Card title="Gauges">
      {card.gauges.length === 0 ? (
        <Empty title="Not gauged since it was filled" />
      ) : (
        <Table
          caption="Gauges of this filling, newest first"
          columns={columns}
          rows={card.gauges}
          rowKey={(gauge) => gauge.id}
        />
      )}
    </Card>
  );
}
