import { useInfiniteQuery } from '@tanstack/react-query';
import { useCallback } from 'react';
import { Link } from 'wouter';
import { api, client, queryKey } from '../../data/client.ts';
import { Empty, Failed, format, Loading, Mark, Page, Table, type Column } from '../../kit/kit.ts';
import type { CaskRow } from '@rundlet/contracts';
import { StockFilters } from './stock-filters.tsx';
import { useStockQuery } from './stock-query.ts';

const PAGE = 100;

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
  { key: 'state', title: 'State', cell: (r) => <CaskState row={r} /> },
];

/** Every cask, filtered and sorted by the server, fetched as the list is read. */
export default function StockPage() {
  const { query, change } = useStockQuery();
  const list = useInfiniteQuery({
    queryKey: queryKey(api.casks.list, query),
    queryFn: ({ pageParam }) =>
      client.call(api.casks.list, {
        query: { ...query, limit: PAGE, ...(pageParam ? { after: pageParam } : {}) },
      }),
    initialPageParam: null as string | null,
    getNextPageParam: (page) => page.next,
  });
  const { hasNextPage, isFetchingNextPage, fetchNextPage } = list;
  const onEnd = useCallback(() => {
    if (hasNextPage && !isFetchingNextPage) void fetchNextPage();
  }, [hasNextPage, isFetchingNextPage, fetchNextPage]);
  const rows = list.data?.pages.flatMap((page) => page.rows) ?? [];
  return (
    <Page
      title="Casks"
      lead="Book figures at 20 °C. Choose what to see; the address keeps the choice."
    >
      <StockFilters query={query} change={change} />
      {list.isError ? (
        <Failed error={list.error} retry={() => void list.refetch()} />
      ) : list.isPending ? (
        <Loading what="Fetching casks" />
      ) : rows.length === 0 ? (
        <Empty title="No cask fits">Loosen the filters above, or look for another code.</Empty>
      ) : (
        <>
          <Table
            caption="Casks"
            rows={rows}
            rowKey={(r) => r.id}
            columns={COLUMNS}
            sorting={{ by: query.sort, direction: query.direction }}
            onSort={({ by, direction }) => {
              change({ sort: by as typeof query.sort, direction });
            }}
            onEnd={hasNextPage ? onEnd : undefined}
          />
          <p role="status">
            {format.count(rows.length, 'cask')} shown
            {hasNextPage ? '; more as you scroll' : ', all that fit'}.
          </p>
        </>
      )}
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
