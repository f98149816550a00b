import { api } from '@rundlet/contracts';
import { useApi } from '../../data/client.ts';
import { Empty, Loaded } from '../../kit/kit.ts';
import { History } from '../cask/history.tsx';

export function VatHistory({ vatId }: { vatId: string }) {
  const journal = useApi(api.journal.list, { query: { subject: `vat:${vatId}`, limit: 30 } });
  return (
    <Loaded query={journal}>
      {({ rows }) =>
        rows.length === 0 ? <Empty title="Nothing booked yet" /> : <History lines={rows} />
      }
    </Loaded>
  );
}
