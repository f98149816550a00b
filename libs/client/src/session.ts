import { api } from '@rundlet/contracts';
import { Client, type Fetch, type FetchResponse } from './client.ts';

/** A fetch that shows the cookies of an answer, as Node's does; a browser keeps them to itself. */
export type CookieFetch = (
  ...request: Parameters<Fetch>
) => Promise<FetchResponse & { readonly headers: { getSetCookie(): string[] } }>;

/**
 * Signs a person in from a program without a browser: the answer's client keeps the session's cookie and sends what
 * changing requests must carry. @throws RefusedError, UnreachableError
 */
export async function signedInClient(
  fetch: CookieFetch,
  origin: string,
  person: { readonly signInName: string; readonly password: string },
): Promise<Client> {
  const headers: Record<string, string> = {};
  const client = new Client({
    origin,
    headers: () => headers,
    fetch: async (url, init) => {
      const response = await fetch(url, init);
      // The server sets one cookie; its attributes are for browsers.
      for (const cookie of response.headers.getSetCookie())
        headers['cookie'] = cookie.split(';', 1)[0] ?? '';
      return response;
    },
  });
  const { csrfToken } = await client.call(api.session.signIn, {
    body: { signInName: person.signInName, password: person.password },
  });
  headers['x-csrf-token'] = csrfToken;
  return client;
}
