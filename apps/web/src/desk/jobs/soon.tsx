import type { AnswerOf, CallOf, Endpoint } from '@rundlet/contracts';
import { useQuery, type UseQueryResult } from '@tanstack/react-query';
import type { ReactNode } from 'react';
import { client, queryKey } from '../../data/client.ts';
import { format, Loaded, Progress } from '../../kit/kit.ts';

/** What endpoints answer whose work may take long: the answer, or how far it is. */
interface SoonAnswer<T> {
  answer: T | null;
  share: number | null;
  casks: number | null;
}
const AGAIN_MS = 300;

/** Asks again and again until the answer is there. */
export function useSoon<E extends Endpoint>(
  endpoint: E,
  input: CallOf<E>,
  options: { enabled?: boolean } = {},
): UseQueryResult<AnswerOf<E>> {
  return useQuery({
    queryKey: queryKey(endpoint, input),
    queryFn: () => client.call(endpoint, input),
    refetchInterval: ({ state }) =>
      (state.data as SoonAnswer<unknown> | undefined)?.answer === null ? AGAIN_MS : false,
    ...options,
  });
}

export function Soon<T>({
  query,
  what,
  children,
}: {
  query: UseQueryResult<SoonAnswer<T>>;
  what: string;
  children: (answer: T) => ReactNode;
}) {
  return (
    <Loaded query={query} what={what}>
      {({ answer, share, casks }) =>
        answer === null ? (
          <div className="loading">
            <Progress
              label={casks === null ? what : `${what}: ${format.count(casks, 'cask')}`}
              value={share}
            />
          </div>
        ) : (
          children(answer)
        )
      }
    </Loaded>
  );
}
