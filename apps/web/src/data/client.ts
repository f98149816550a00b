import { Client, RefusedError, UnreachableError } from '@rundlet/client';
import { api, type AnswerOf, type CallOf, type Endpoint, type Session } from '@rundlet/contracts';
import { QueryClient, useQuery, type UseQueryResult } from '@tanstack/react-query';
import { noteReachable } from './network.ts';

let csrfToken: string | null = null;
let person: { id: string; name: string } | null = null;
/** Every changing request carries the session's token, which other sites cannot read. */
export function carryTokenOf(session: Session | null): void {
  csrfToken = session?.csrfToken ?? null;
  person = session && { id: session.person.id, name: session.person.name };
  if (person) signedIn.dispatchEvent(new Event('signed-in'));
}
const signedIn = new EventTarget();
export function onSignedIn(listener: () => void): void {
  signedIn.addEventListener('signed-in', listener);
}
/** Whose entries are made and sent here just now. */
export const signedInPerson = (): typeof person => person;

const signedOut = new EventTarget();
export function onSignedOut(listener: () => void): () => void {
  signedOut.addEventListener('signed-out', listener);
  return () => {
    signedOut.removeEventListener('signed-out', listener);
  };
}

/** A phone at the edge of the signal hangs rather than fails; after this long it counts as out of reach. */
const PATIENCE_MS = 20_000;
/** A photograph takes longer over such a signal. */
const PATIENCE_WITH_FILES_MS = 120_000;

export const client = new Client({
  origin: '',
  fetch: async (url, init) => {
    try {
      const patience = url.startsWith('/api/attachments/') ? PATIENCE_WITH_FILES_MS : PATIENCE_MS;
      const response = await fetch(url, { ...init, signal: AbortSignal.timeout(patience) });
      // A gateway that answers in the server's place is no server.
      const reached = ![502, 503, 504].includes(response.status);
      noteReachable(reached);
      if (!reached) throw new UnreachableError('The server cannot be reached.');
      if (response.status === 401 && url !== api.session.me.path)
        signedOut.dispatchEvent(new Event('signed-out'));
      return response;
    } catch (error) {
      noteReachable(false);
      throw error;
    }
  },
  headers: (): Record<string, string> => (csrfToken === null ? {} : { 'x-csrf-token': csrfToken }),
});

export const queries = new QueryClient({
  defaultOptions: {
    queries: {
      staleTime: 15_000,
      // The device decides by answers, not by what the browser believes of the network.
      networkMode: 'always',
      retry: (failures, error) => failures < 1 && !(error instanceof RefusedError) && !isOut(error),
    },
    mutations: { networkMode: 'always' },
  },
});
const isOut = (error: unknown): boolean => error instanceof UnreachableError;

/** Asks one endpoint of the contracts' table and keeps the answer: `useApi(api.casks.card, { params: { id } })`. */
export function useApi<E extends Endpoint>(
  endpoint: E,
  input: CallOf<E> = {} as CallOf<E>,
  options: { enabled?: boolean; staleTime?: number; refetchInterval?: number } = {},
): UseQueryResult<AnswerOf<E>> {
  return useQuery({
    queryKey: queryKey(endpoint, input),
    queryFn: () => client.call(endpoint, input),
    ...options,
  });
}

/** The key `useApi` keeps an answer under. */
export const queryKey = (endpoint: Endpoint, input: unknown = {}): readonly unknown[] => [
  endpoint.method,
  endpoint.path,
  input,
];

export { api };
