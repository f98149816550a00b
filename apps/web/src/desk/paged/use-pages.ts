import type { AnswerOf, CallOf, Endpoint } from '@rundlet/contracts';
import { useInfiniteQuery } from '@tanstack/react-query';
import { useCallback } from 'react';
import { client, queryKey } from '../../data/client.ts';

const PAGE = 100;
type Page<R> = { rows: R[]; next: string | null };
type RowOf<E extends Endpoint> = AnswerOf<E> extends Page<infer R> ? R : never;

/** A list that the server hands out by pages, fetched as it is read. */
export function usePages<E extends Endpoint>(
  endpoint: E,
  input: { params?: object; query?: object } = {},
) {
  const list = useInfiniteQuery({
    queryKey: queryKey(endpoint, input),
    queryFn: async ({ pageParam }) =>
      (await client.call(endpoint, {
        ...input,
        query: { ...input.query, limit: PAGE, ...(pageParam ? { after: pageParam } : {}) },
      } as unknown as CallOf<E>)) as Page<RowOf<E>>,
    initialPageParam: null as string | null,
    getNextPageParam: (page) => page.next,
  });
  const { hasNextPage, isFetchingNextPage, fetchNextPage } = list;
  const onEnd = useCallback(() => {
    if (hasNextPage && !isFetchingNextPage) void fetchNextPage();
  }, [hasNextPage, isFetchingNextPage, fetchNextPage]);
  return {
    list,
    rows: list.data?.pages.flatMap((page) => page.rows) ?? [],
    onEnd: hasNextPage ? onEnd : undefined,
  };
}
