import { ACT_ROLE, api, type Act, type Role } from '@rundlet/contracts';
import { Client, type Fetch } from '@rundlet/client';

/** A person of the demo's server, as its file of sign-ins tells. */
export interface SignIn {
  readonly signInName: string;
  readonly password: string;
  readonly roles: readonly Role[];
}

/** Signs in and answers with a client that acts as that person. @throws RefusedError, UnreachableError */
export async function signIn(origin: string, { signInName, password }: SignIn): Promise<Client> {
  let cookie = '';
  let csrfToken = '';
  const send: Fetch = async (url, { method, headers, body }) => {
    const response = await fetch(url, { method, headers, ...(body === undefined ? {} : { body }) });
    // The session's cookie alone, without its attributes.
    for (const line of response.headers.getSetCookie()) cookie = line.split(';')[0] ?? '';
    return response;
  };
  const client = new Client({
    fetch: send,
    origin,
    headers: (): Record<string, string> =>
      cookie === '' ? {} : { cookie, 'x-csrf-token': csrfToken },
  });
  const session = await client.call(api.session.signIn, { body: { signInName, password } });
  csrfToken = session.csrfToken;
  return client;
}

/** Who writes which act down at Harrow Point: the least role that may. */
export function actorOf(act: Act, signIns: readonly SignIn[]): string {
  const role = ACT_ROLE[act.kind];
  const person =
    signIns.find((s) => s.roles.includes(role)) ??
    signIns.find((s) => s.roles.includes('administer'));
  if (person === undefined) throw new RangeError(`nobody at Harrow Point may do ${act.kind}`);
  return person.signInName;
}
