import { execFile, spawn, type ChildProcess } from 'node:child_process';
import { existsSync } from 'node:fs';
import { readFile } from 'node:fs/promises';
import { join } from 'node:path';
import { createServer } from 'node:net';
import { promisify } from 'node:util';
import type { Client } from '@rundlet/client';
import { api } from '@rundlet/contracts';
import { clientOf, type Base } from './server.ts';

const SERVER = 'apps/server';
const MAIN = join(SERVER, 'dist', 'main.js');

/** Builds the server unless it has been built; as its own script does, since a test runner's environment would make another program. */
export async function ensureServerBuilt(): Promise<void> {
  if (existsSync(MAIN)) return;
  const env = { ...process.env, NODE_ENV: 'production' };
  await promisify(execFile)('npm', ['run', 'build'], { cwd: SERVER, env });
}

export interface ServerProcess {
  readonly base: string;
  readonly process: ChildProcess;
  /** What it has told a person so far. */
  told(): string;
  /** What it has logged so far. */
  logged(): string;
  /** How it ended: exit code, or null when a signal ended it. */
  readonly ended: Promise<number | null>;
}

/** Starts the built server as a process of its own. Does not wait for it. */
export async function spawnServer(
  environment: Readonly<Record<string, string>>,
  port?: number,
): Promise<ServerProcess> {
  const at = port ?? (await freePort());
  const process_ = spawn(process.execPath, ['--enable-source-maps', MAIN], {
    env: { PATH: process.env['PATH'], PORT: String(at), RUNDLET_LOG: 'error', ...environment },
    stdio: ['ignore', 'pipe', 'pipe'],
  });
  let told = '';
  let logged = '';
  process_.stderr.on('data', (chunk) => (told += String(chunk)));
  process_.stdout.on('data', (chunk) => (logged += String(chunk)));
  return {
    base: `http://127.0.0.1:${String(at)}`,
    process: process_,
    told: () => told,
    logged: () => logged,
    ended: new Promise((resolve) => process_.on('close', (code) => resolve(code))),
  };
}

/** When it answers /ready. @throws Error with what it told when it ends before */
export async function untilReady(server: ServerProcess): Promise<void> {
  let over = false;
  void server.ended.then(() => (over = true));
  for (;;) {
    if (over) throw new Error(`The server ended: ${server.told()}`);
    try {
      if ((await fetch(`${server.base}/ready`)).ok) return;
    } catch {
      // Not listening yet.
    }
    await new Promise((resolve) => setTimeout(resolve, 30));
  }
}

/** One of the demo's people, signed in at a server whose data folder is `data`. */
export async function demoClient(
  server: { readonly base: Base },
  data: string,
  signInName: string,
): Promise<Client> {
  const people = JSON.parse(await readFile(join(data, 'demo-sign-ins.json'), 'utf8')) as {
    signInName: string;
    password: string;
  }[];
  const password = people.find((p) => p.signInName === signInName)?.password ?? '';
  const headers: Record<string, string> = {};
  const client = clientOf(server.base, headers);
  headers['x-csrf-token'] = (
    await client.call(api.session.signIn, { body: { signInName, password } })
  ).csrfToken;
  return client;
}

export function freePort(): Promise<number> {
  return new Promise((resolve) => {
    const probe = createServer();
    probe.listen(0, '127.0.0.1', () => {
      const address = probe.address();
      probe.close(() => resolve(typeof address === 'object' && address ? address.port : 0));
    });
  });
}
