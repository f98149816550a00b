import type { Holding } from '@rundlet/contracts';
import { Link } from 'wouter';
import { api, useApi } from '../../data/client.ts';
import { useMay } from '../../data/session.tsx';
import { Card, Empty, format, Loaded, Page, Table } from '../../kit/kit.ts';
import { AccountForm } from './account-form.tsx';

/** Whose alcohol lies here: one's own stock and the customers', told apart. */
export default function OwnersPage() {
  const may = useMay();
  const query = useApi(api.owners.list);
  return (
    <Page
      title="Owners"
      lead="Accounts that hold stock. Each has a statement of its casks to print or send."
    >
      <Loaded query={query} what="Fetching the accounts">
        {({ rows }) => (
          <>
            <Card title="Customers">
              <Holdings
                rows={rows.filter((row) => row.account.kind === 'customer')}
                caption="Accounts of customers"
              />
            </Card>
            <Card title="Own stock">
              <Holdings
                rows={rows.filter((row) => row.account.kind === 'own')}
                caption="Accounts of our own"
              />
            </Card>
          </>
        )}
      </Loaded>
      {may('keep') && (
        <Card title="New account">
          <AccountForm />
        </Card>
      )}
    </Page>
  );
}

function Holdings({ rows, caption }: { rows: readonly Holding[]; caption: string }) {
  if (rows.length === 0) return <Empty title="None yet" />;
  return (
    <Table
      caption={caption}
      rows={rows}
      rowKey={(r) => r.account.id}
      columns={[
        {
          key: 'name',
          title: 'Account',
          cell: (r) => <Link href={`/owners/${r.account.id}`}>{r.account.name}</Link>,
        },
        { key: 'code', title: 'Code', cell: (r) => <span className="code">{r.account.code}</span> },
        { key: 'casks', title: 'Casks', numeric: true, cell: (r) => format.number(r.casks) },
        {
          key: 'lpa',
          title: 'LPA in casks, by the book',
          numeric: true,
          cell: (r) => format.number(r.casksLitresPureAlcohol, 1),
        },
        {
          key: 'vats',
          title: 'LPA in vats',
          numeric: true,
          cell: (r) => format.number(r.vatsLitresPureAlcohol, 1),
        },
        {
          key: 'remark',
          title: 'Remark',
          cell: (r) => <span className="cell-words">{r.account.remark}</span>,
        },
      ]}
    />
  );
}
