import type { POSTING_CAUSES } from '@rundlet/contracts';
import { api, useApi } from '../../data/client.ts';
import { Dialog, format, Loaded, Table } from '../../kit/kit.ts';
import { CAUSE_WORDS } from './return-lines.ts';

/** The journal entries behind one figure of the return. */
export function PostingsDialog({
  month,
  cause,
  accountId,
  storeId,
  onClose,
}: {
  month: string;
  cause: (typeof POSTING_CAUSES)[number];
  accountId: string;
  storeId: string | null;
  onClose: () => void;
}) {
  const query = useApi(api.books.postings, {
    query: { month, cause, accountId, ...(storeId ? { storeId } : {}) },
  });
  return (
    <Dialog title={`${CAUSE_WORDS[cause]}, ${month}`} open onClose={onClose}>
      <Loaded query={query}>
        {({ rows }) => (
          <Table
            caption="Entries behind the figure"
            rows={rows}
            rowKey={(r) => `${r.entryId}:${r.vesselCode}:${String(r.litresPureAlcohol)}`}
            columns={[
              { key: 'at', title: 'When', cell: (r) => format.dateTime(r.at) },
              { key: 'vessel', title: 'Vessel', cell: (r) => r.vesselCode },
              {
                key: 'lpa',
                title: 'LPA',
                numeric: true,
                cell: (r) => format.signed(r.litresPureAlcohol, 3),
              },
              { key: 'words', title: 'Entry', cell: (r) => r.words },
            ]}
          />
        )}
      </Loaded>
    </Dialog>
  );
}
