import { mkdtemp, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { NestExpressApplication } from '@nestjs/platform-express';
import { Client, RefusedError, type Fetch } from '@rundlet/client';
import { api, type Role } from '@rundlet/contracts';
import { createApp } from '../../apps/server/src/create-app.ts';
import { Clock } from '../../apps/server/src/platform/clock.ts';
import { settingsFrom, type Settings } from '../../apps/server/src/platform/settings.ts';
import { Devices } from '../../apps/server/src/session/devices.ts';
import { People } from '../../apps/server/src/session/people.ts';
import { emptyDatabase, type DatabaseKind, type EmptyDatabase } from './database.ts';

export interface TestServer {
  readonly app: NestExpressApplication;
  readonly base: string;
  readonly settings: Settings;
  /** A client that is nobody. */
  readonly nobody: Client;
  /** A client of a device with these roles: quick, because no password is hashed. */
  as(...roles: Role[]): Promise<Client>;
  /** A client of a person with these roles who has signed in. */
  signedIn(...roles: Role[]): Promise<Client & { signInName: string; password: string }>;
  stop(): Promise<void>;
}

/** Real hashing takes a fifth of a second on purpose. */
const CHEAP = { logN: 8, r: 8, p: 1 };

export interface ServerOptions {
  readonly environment?: Readonly<Record<string, string>>;
  /** The server's clock; a test may move it. */
  readonly now?: () => Date;
}

/** A running server on a database of its own. */
export async function startServer(
  kind: DatabaseKind,
  options: ServerOptions = {},
): Promise<TestServer> {
  return serverOn(await emptyDatabase(kind), options);
}

/** A running server on this database, which it drops when it is stopped. */
export async function serverOn(
  database: EmptyDatabase,
  { environment = {}, now }: ServerOptions = {},
): Promise<TestServer> {
  const folder = await mkdtemp(join(tmpdir(), 'rundlet-data-'));
  const settings = settingsFrom(
    {
      DATABASE_URL: database.url,
      RUNDLET_DATA: folder,
      RUNDLET_LOG: 'error',
      RUNDLET_ORIGIN: 'http://casks.harrowpoint.example',
      PORT: '0',
      ...environment,
    },
    { webFolder: join(folder, 'no-web-app') },
  );
  const app = await createApp(settings, { clock: new Clock(now), passwordCost: CHEAP });
  await app.listen(0, '127.0.0.1');
  const base = await app.getUrl();
  let devices = 0;
  let people = 0;
  return {
    app,
    base,
    settings,
    nobody: clientOf(base),
    async as(...roles) {
      const { secret } = await app
        .get(Devices)
        .issue(`device ${String((devices += 1))}`, roles, 'test');
      return clientOf(base, { authorization: `Bearer ${secret}` });
    },
    async signedIn(...roles) {
      const signInName = `person${String((people += 1))}`;
      const password = `a password of ${signInName}`;
      await app.get(People).add({ signInName, name: `Person ${String(people)}`, roles, password });
      const headers: Record<string, string> = {};
      const client = clientOf(base, headers);
      const { csrfToken } = await client.call(api.session.signIn, {
        body: { signInName, password },
      });
      headers['x-csrf-token'] = csrfToken;
      return Object.assign(client, { signInName, password });
    },
    async stop() {
      await app.close();
      await database.drop();
      await rm(folder, { recursive: true });
    },
  };
}

/** Where a client calls: one server, or another one at each call as behind a balancer. */
export type Base = string | (() => string);

/** A client with a jar for cookies of its own. `headers` are looked up at each call. */
export function clientOf(base: Base, headers: Record<string, string> = {}): Client {
  let cookie = '';
  const jar: Fetch = async (path, init) => {
    const response = await fetch(`${typeof base === 'string' ? base : base()}${path}`, {
      method: init.method,
      headers: { ...init.headers, ...(cookie ? { cookie } : {}) },
      ...(init.body === undefined ? {} : { body: init.body }),
    });
    for (const set of response.headers.getSetCookie()) cookie = set.split(';', 1)[0] ?? '';
    return response;
  };
  return new Client({ fetch: jar, origin: '', headers: () => headers });
}

/** The problem a call is refused with. @throws Error when it is not refused */
export async function problemOf(call: Promise<unknown>): Promise<RefusedError['problem']> {
  try {
    await call;
  } catch (error) {
    if (error instanceof RefusedError) return error.problem;
    throw error;
  }
  throw new Error('The call was not refused.');
}
