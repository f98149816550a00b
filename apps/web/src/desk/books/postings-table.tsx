import type { AccountUnit, PostingView } from '@rundlet/contracts';
import { ACCOUNT_UNITS, CAUSE_WORDS } from '@rundlet/domain';
import { format, Mark, Table } from '../../kit/kit.ts';

/** Lines of the ledger with their entries; one of an earlier month says so. */
export function PostingsTable({
  caption,
  rows,
  unit,
}: {
  caption: string;
  rows: readonly PostingView[];
  unit: AccountUnit;
}) {
  const { symbol, of } = ACCOUNT_UNITS[unit];
  return (
    <Table
      caption={caption}
      rows={rows}
      rowKey={(r) => `${r.entryId}:${r.vesselCode}:${r.cause}:${String(r.litresPureAlcohol)}`}
      columns={[
        {
          key: 'at',
          title: 'Happened',
          cell: (r) => (
            <>
              {format.dateTime(r.at)}
              {r.at.slice(0, 7) < r.month && (
                <>
                  {' '}
                  <Mark tone="caution">counts in {r.month}</Mark>
                </>
              )}
            </>
          ),
        },
        { key: 'vessel', title: 'Vessel', cell: (r) => r.vesselCode },
        { key: 'cause', title: 'Cause', cell: (r) => CAUSE_WORDS[r.cause] },
        {
          key: 'amount',
          title: symbol,
          numeric: true,
          cell: (r) => format.signed(of(r.litresPureAlcohol), 3),
        },
        { key: 'words', title: 'Entry', cell: (r) => r.words },
      ]}
    />
  );
}
