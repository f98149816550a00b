import { Link } from 'wouter';
import { api } from '../../data/client.ts';
import { Empty, format, Page, Table } from '../../kit/kit.ts';
import { Paged } from '../paged/paged.tsx';
import { usePages } from '../paged/use-pages.ts';

export default function BlendsPage() {
  const { list, rows, onEnd } = usePages(api.blends.blends);
  return (
    <Page title="Blends made" lead="Newest first, each with the shares of every plot in it.">
      <Paged
        list={list}
        rows={rows}
        what="Fetching blends"
        empty={
          <Empty title="No blend yet">Carry a plan out; its finished vat becomes a blend.</Empty>
        }
      >
        <Table
          caption="Blends"
          rows={rows}
          rowKey={(b) => b.id}
          onEnd={onEnd}
          columns={[
            {
              key: 'code',
              title: 'Blend',
              cell: (b) => <Link href={`/blends/${b.id}`}>{b.code}</Link>,
            },
            { key: 'name', title: 'Name', cell: (b) => b.name },
            { key: 'made', title: 'Made', cell: (b) => format.date(b.madeAt) },
            {
              key: 'bulk',
              title: 'Bulk, L',
              numeric: true,
              cell: (b) => format.number(b.figures.bulkLitresAt20C, 1),
            },
            {
              key: 'strength',
              title: '% vol',
              numeric: true,
              cell: (b) => format.number(b.figures.strengthPercentVol, 2),
            },
            {
              key: 'casks',
              title: 'Casks',
              numeric: true,
              cell: (b) => format.number(b.fillings.length),
            },
          ]}
        />
      </Paged>
    </Page>
  );
}
