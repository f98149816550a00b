import { Link } from 'wouter';
import { api } from '../../data/client.ts';
import { Empty, format, Mark, Page, Table, type Column } from '../../kit/kit.ts';
import type { CaskRow } from '@rundlet/contracts';
import { WalkButton } from '../../aisle/walk/walk-button.tsx';
import { Paged } from '../paged/paged.tsx';
import { usePages } from '../paged/use-pages.ts';
import { StockFilters } from './stock-filters.tsx';
import { useStockQuery } from './stock-query.ts';

const COLUMNS: readonly Column<CaskRow>[] = [
  {
    key: 'code',
    title: 'Cask',
    sort: 'code',
    cell: (r) => <Link href={`/casks/${r.id}`}>{r.code}</Link>,
  },
  { key: 'kind', title: 'Kind', cell: (r) => `${r.kind}, ${format.number(r.nominalLitres)} L` },
  { key: 'wood', title: 'Wood', cell: (r) => r.woodSpecies },
  { key: 'before', title: 'Before', cell: (r) => r.previousContents },
  {
    key: 'fill',
    title: 'Filling',
    cell: (r) => (r.fillNumber === null ? '–' : format.fillWords(r.fillNumber)),
  },
  { key: 'filled', title: 'Filled', sort: 'filledAt', cell: (r) => format.date(r.filledAt) },
  {
    key: 'gauged',
    title: 'Gauged',
    sort: 'lastGaugedAt',
    cell: (r) => format.date(r.lastGaugedAt),
  },
  {
    key: 'bulk',
    title: 'Bulk, L',
    numeric: true,
    cell: (r) => format.number(r.figures?.bulkLitresAt20C, 1),
  },
  {
    key: 'strength',
    title: '% vol',
    numeric: true,
    sort: 'strength',
    cell: (r) => format.number(r.figures?.strengthPercentVol, 2),
  },
  {
    key: 'lpa',
    title: 'LPA',
    numeric: true,
    sort: 'litresPureAlcohol',
    cell: (r) => format.number(r.figures?.litresPureAlcohol, 2),
  },
  { key: 'place', title: 'Position', cell: (r) => r.positionCode ?? '–' },
  {
    key: 'state',
    title: 'State',
    cell: (r) => (
      <span className="line">
        <CaskState row={r} />
        {r.dutyStatus === 'paid' && <Mark>duty-paid</Mark>}
      </span>
    ),
  },
];

/** Every cask, filtered and sorted by the server, fetched as the list is read. */
export default function StockPage() {
  const { query, change } = useStockQuery();
  const { list, rows, onEnd } = usePages(api.casks.list, { query });
  return (
    <Page
      title="Casks"
      lead="Book figures at 20 °C. Choose what to see; the address keeps the choice."
      actions={<WalkButton casks={rows} />}
    >
      <StockFilters query={query} change={change} />
      <Paged
        list={list}
        rows={rows}
        what="Fetching casks"
        empty={
          <Empty title="No cask fits">Loosen the filters above, or look for another code.</Empty>
        }
      >
        <Table
          caption="Casks"
          rows={rows}
          rowKey={(r) => r.id}
          columns={COLUMNS}
          sorting={{ by: query.sort, direction: query.direction }}
          onSort={({ by, direction }) => {
            change({ sort: by, direction });
          }}
          onEnd={onEnd}
        />
        <p role="status">
          {format.count(rows.length, 'cask')} shown
          {onEnd ? '; more as you scroll' : ', all that fit'}.
        </p>
      </Paged>
    </Page>
  );
}

function CaskState({ row }: { row: CaskRow }) {
  if (row.status === 'retired') return <Mark>retired</Mark>;
  if (row.suspicion === 'possible-leak' || row.condition === 'leaking')
    return <Mark tone="bad">{row.condition === 'leaking' ? 'leaking' : 'possible leak'}</Mark>;
  if (row.suspicion === 'possible-blunder') return <Mark tone="caution">doubtful gauge</Mark>;
  if (row.holdReason) return <Mark tone="caution">on hold</Mark>;
  if (row.reservedByPlanId) return <Mark>reserved</Mark>;
  if (row.status === 'empty') return <Mark>empty</Mark>;
  return <Mark tone="good">maturing</Mark>;
}
