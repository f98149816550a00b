/** The built server as a process of its own, for benches that tell what it alone takes. */
import { mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { signedInClient, type Client } from '@rundlet/client';
import { api } from '@rundlet/contracts';
import { ensureServerBuilt, spawnServer, untilReady } from '../support/process.ts';

/** Linux counts processor time in hundredths of a second. */
const TICKS_PER_SECOND = 100;

export interface Served {
  readonly base: string;
  readonly folder: string;
  /** someone who may do everything that is benched */
  readonly keeper: Client;
  /** a device that may do the same, for requests past the client */
  readonly headers: Readonly<Record<string, string>>;
  /** Seconds of processor since it started, and its memory, now and at most, MiB. */
  usage(): { processorSeconds: number; residentMiB: number; mostMiB: number };
  stop(): Promise<void>;
}

/** Serves this database, or a new one in SQLite. Linux only. */
export async function serve(databaseUrl?: string): Promise<Served> {
  await ensureServerBuilt();
  const folder = mkdtempSync(join(tmpdir(), 'rundlet-bench-'));
  const server = await spawnServer({
    RUNDLET_DATA: folder,
    RUNDLET_DEMO: '1',
    ...(databaseUrl === undefined ? {} : { DATABASE_URL: databaseUrl }),
  });
  await untilReady(server);
  const { base } = server;
  const signIns = JSON.parse(readFileSync(join(folder, 'demo-sign-ins.json'), 'utf8')) as {
    signInName: string;
    password: string;
  }[];
  const signIn = async (name: string): Promise<Client> => {
    const person = signIns.find(({ signInName }) => signInName === name);
    if (!person) throw new Error(`The demo has no ${name}.`);
    return signedInClient(fetch, base, person);
  };
  const { secret } = await (
    await signIn('administrator')
  ).call(api.session.addDevice, { body: { label: 'bench', roles: ['keep'] } });
  const proc = (file: string) =>
    readFileSync(`/proc/${String(server.process.pid)}/${file}`, 'utf8');
  return {
    base,
    folder,
    keeper: await signIn('keeper'),
    headers: { authorization: `Bearer ${secret}` },
    usage() {
      const times = proc('stat').split(') ')[1]?.split(' ') ?? [];
      const kib = (name: string) =>
        Number(new RegExp(`${name}:\\s+(\\d+)`).exec(proc('status'))?.[1] ?? 0);
      return {
        processorSeconds: (Number(times[11]) + Number(times[12])) / TICKS_PER_SECOND,
        residentMiB: kib('VmRSS') / 1024,
        mostMiB: kib('VmHWM') / 1024,
      };
    },
    async stop() {
      server.process.kill('SIGTERM');
      await server.ended;
      rmSync(folder, { recursive: true });
    },
  };
}
