import { api, type StocktakeLineView } from '@rundlet/contracts';
import { useInfiniteQuery } from '@tanstack/react-query';
import { useCallback, useState } from 'react';
import { client, queryKey } from '../../data/client.ts';
import {
  Card,
  ChoiceField,
  CodeText,
  Empty,
  Failed,
  Loading,
  Mark,
  Table,
  type Column,
} from '../../kit/kit.ts';
import { WalkButton } from '../walk/walk-button.tsx';

type Filter =
  'all' | 'expected' | 'found' | 'misplaced' | 'missing' | 'unknown' | 'left' | 'twice' | 'damaged';
const FILTERS: readonly { value: Filter; label: string }[] = [
  { value: 'all', label: 'All' },
  { value: 'expected', label: 'Still to find' },
  { value: 'found', label: 'Found' },
  { value: 'misplaced', label: 'Misplaced' },
  { value: 'missing', label: 'Missing' },
  { value: 'unknown', label: 'Unknown' },
  { value: 'left', label: 'Left' },
  { value: 'twice', label: 'Twice' },
  { value: 'damaged', label: 'Label damaged' },
];
export const LINE_WORDS = {
  expected: { words: 'still to find', tone: 'plain' },
  found: { words: 'found', tone: 'good' },
  misplaced: { words: 'misplaced', tone: 'caution' },
  missing: { words: 'missing', tone: 'bad' },
  unknown: { words: 'unknown', tone: 'caution' },
  left: { words: 'left by the book', tone: 'plain' },
} as const;

const columns: readonly Column<StocktakeLineView>[] = [
  { key: 'code', title: 'Code', cell: ({ line }) => <CodeText code={line.code} /> },
  { key: 'cask', title: 'Cask', cell: ({ caskLine }) => caskLine ?? '–' },
  {
    key: 'state',
    title: 'State',
    cell: ({ line }) => (
      <span className="line">
        <Mark tone={LINE_WORDS[line.state].tone}>{LINE_WORDS[line.state].words}</Mark>
        {line.timesCounted > 1 && <Mark tone="caution">counted {line.timesCounted} times</Mark>}
        {line.damagedLabel && <Mark tone="caution">label damaged</Mark>}
        {line.recountAskedAt !== null && (
          <Mark icon={line.recounts > 0 ? 'check' : 'wait'}>
            {line.recounts > 0 ? 'counted again' : 'to count again'}
          </Mark>
        )}
        {line.expectedPositionId !== null && line.bookMoves.length > 0 && (
          <Mark>moved during the count</Mark>
        )}
      </span>
    ),
  },
  { key: 'expected', title: 'By the book', cell: (row) => row.expectedPositionCode ?? '–' },
  { key: 'found', title: 'Found at', cell: (row) => row.foundPositionCode ?? '–' },
  { key: 'settled', title: 'Settled', cell: ({ line }) => line.resolution ?? '–' },
];

export function SheetLines({ stocktakeId }: { stocktakeId: string }) {
  const [filter, setFilter] = useState<Filter>('all');
  const state = filter === 'all' ? undefined : filter;
  const lines = useInfiniteQuery({
    queryKey: [...queryKey(api.stocktakes.lines, stocktakeId), filter],
    initialPageParam: undefined as string | undefined,
    queryFn: ({ pageParam }) =>
      client.call(api.stocktakes.lines, {
        params: { id: stocktakeId },
        query: {
          limit: 100,
          ...(state ? { state } : {}),
          ...(pageParam === undefined ? {} : { after: pageParam }),
        },
      }),
    getNextPageParam: (page) => page.next ?? undefined,
  });
  const { hasNextPage, isFetchingNextPage, fetchNextPage } = lines;
  const more = useCallback(() => {
    if (hasNextPage && !isFetchingNextPage) void fetchNextPage();
  }, [hasNextPage, isFetchingNextPage, fetchNextPage]);
  const rows = lines.data?.pages.flatMap((page) => page.rows) ?? [];
  return (
    <Card title="Lines, in walking order">
      <div className="stack">
        <ChoiceField label="Show" hideLabel value={filter} onChange={setFilter} choices={FILTERS} />
        <div className="line not-printed">
          <WalkButton
            casks={rows.flatMap(({ line: { caskId, code } }) =>
              caskId === null ? [] : { id: caskId, code },
            )}
          />
        </div>
        {lines.isError ? (
          <Failed error={lines.error} retry={() => void lines.refetch()} />
        ) : lines.isPending ? (
          <Loading />
        ) : rows.length === 0 ? (
          <Empty title="No such lines" />
        ) : (
          <Table
            caption="Lines of the stock-take"
            columns={columns}
            rows={rows}
            rowKey={({ line }) => line.id}
            onEnd={hasNextPage ? more : undefined}
          />
        )}
      </div>
    </Card>
  );
}
