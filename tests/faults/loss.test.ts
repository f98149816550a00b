/**
 * The server killed under load, and its database lost under load, again and again. A few cycles by default;
 * RUNDLET_KILL_CYCLES and RUNDLET_LOSS_CYCLES make more. The tally is printed.
 */
import { mkdtemp, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import type { Client } from '@rundlet/client';
import { api } from '@rundlet/contracts';
import { verifyDatabase } from '../../apps/server/src/journal/verification.ts';
import { databases, emptyDatabase } from '../support/database.ts';
import { isOver, until } from '../support/jobs.ts';
import { loadOn } from '../support/load.ts';
import { startPostgres } from '../support/postgres.mjs';
import {
  demoClient,
  ensureServerBuilt,
  freePort,
  spawnServer,
  untilReady,
} from '../support/process.ts';
import { clientOf } from '../support/server.ts';
import { layDownSmallEstate } from '../support/small-estate.ts';

const KILL_CYCLES = Number(process.env['RUNDLET_KILL_CYCLES'] ?? 2);
const LOSS_CYCLES = Number(process.env['RUNDLET_LOSS_CYCLES'] ?? 2);
/** A verification folds the whole journal: after so many cycles, and at the end. */
const VERIFY_EVERY = 25;
const limitMs = (cycles: number): number => 240_000 + cycles * 60_000;

let folder: string;
beforeAll(async () => {
  await ensureServerBuilt();
  folder = await mkdtemp(join(tmpdir(), 'rundlet-loss-'));
});
afterAll(() => rm(folder, { recursive: true }));

/** A client that stays the same over the server's lives: no password is hashed at each start. */
async function deviceClient(base: string, data: string): Promise<Client> {
  const administrator = await demoClient({ base }, data, 'administrator');
  const { secret } = await administrator.call(api.session.addDevice, {
    body: { label: 'hand scanner', roles: ['keep'] },
  });
  return clientOf(base, { authorization: `Bearer ${secret}` });
}

const missingOf = async (client: Client, ids: readonly string[]): Promise<string[]> => {
  const found = await Promise.all(
    ids.map((id) =>
      client.call(api.journal.entry, { params: { id } }).then(
        () => true,
        () => false,
      ),
    ),
  );
  return ids.filter((_, i) => !found[i]);
};

describe.each(databases)('the server on %s', (kind) => {
  test(
    `killed ${String(KILL_CYCLES)} times under load, it has every act that it answered for, whole`,
    async () => {
      const database = await emptyDatabase(kind);
      const data = join(folder, kind);
      const port = await freePort();
      const environment = { RUNDLET_DATA: data, DATABASE_URL: database.url, RUNDLET_DEMO: '1' };
      const tally = { cycles: 0, acknowledged: 0, lost: 0, writtenTwice: 0, verifyFailures: 0 };
      let server = await spawnServer(environment, port);
      await untilReady(server);
      const hand = await deviceClient(server.base, data);
      const estate = await layDownSmallEstate(hand, { casks: 9 });
      while (tally.cycles < KILL_CYCLES) {
        const load = loadOn(hand, estate);
        const enough = 5 + ((tally.cycles * 7) % 40);
        while (load.acknowledged.length < enough) await new Promise((go) => setTimeout(go, 1));
        server.process.kill('SIGKILL');
        await server.ended;
        await load.stop('given-up');
        tally.cycles += 1;
        tally.acknowledged += load.acknowledged.length;
        tally.writtenTwice += load.applied.length - new Set(load.applied).size;
        server = await spawnServer(environment, port);
        await untilReady(server);
        tally.lost += (await missingOf(hand, load.acknowledged)).length;
        if (tally.cycles % VERIFY_EVERY === 0 || tally.cycles === KILL_CYCLES) {
          tally.verifyFailures += (await verifyDatabase(database.url)).failures.length;
          console.log(`killed on ${kind}: ${JSON.stringify(tally)}`);
        }
      }
      server.process.kill('SIGTERM');
      expect(await server.ended).toBe(0);
      expect(tally.acknowledged).toBeGreaterThanOrEqual(5 * KILL_CYCLES);
      expect(tally).toMatchObject({ lost: 0, writtenTwice: 0, verifyFailures: 0 });
      await database.drop();
    },
    limitMs(KILL_CYCLES),
  );
});

describe.runIf(databases.includes('postgres'))('the database', () => {
  test(
    `lost ${String(LOSS_CYCLES)} times under load, the server says so, comes back by itself and has every act`,
    async () => {
      const postgres = await startPostgres({ durable: true });
      // Another machine's database is not ours to stop.
      if (postgres === null) return console.warn('NOT TESTED: no programs of PostgreSQL here.');
      const data = join(folder, 'lost');
      const environment = { RUNDLET_DATA: data, DATABASE_URL: postgres.url, RUNDLET_DEMO: '1' };
      const server = await spawnServer({ ...environment, RUNDLET_LOG: 'silent' });
      await untilReady(server);
      const ready = async () => (await fetch(`${server.base}/ready`)).status;
      const hand = await deviceClient(server.base, data);
      const estate = await layDownSmallEstate(hand, { casks: 9 });
      const tally = {
        cycles: 0,
        acknowledged: 0,
        lost: 0,
        writtenTwice: 0,
        verifyFailures: 0,
        jobsSeenThrough: 0,
      };
      while (tally.cycles < LOSS_CYCLES) {
        const load = loadOn(hand, estate);
        while (load.acknowledged.length < 10) await new Promise((go) => setTimeout(go, 1));
        const { jobId } = await hand.call(api.maturation.calibrate);
        await postgres.halt(tally.cycles % 2 === 0 ? 'SIGINT' : 'SIGQUIT');
        expect(await ready()).toBe(503);
        expect((await fetch(`${server.base}/health`)).status).toBe(200);
        await postgres.resume();
        await expect.poll(ready, { timeout: 30_000 }).toBe(200);
        const before = load.acknowledged.length;
        await expect
          .poll(() => load.acknowledged.length, { timeout: 30_000 })
          .toBeGreaterThan(before);
        await load.stop('answered');
        const job = await until(hand, jobId, isOver);
        tally.jobsSeenThrough += Number(job.status === 'done');
        tally.cycles += 1;
        tally.acknowledged += load.acknowledged.length;
        tally.writtenTwice += load.applied.length - new Set(load.applied).size;
        tally.lost += (await missingOf(hand, load.acknowledged)).length;
        if (tally.cycles % VERIFY_EVERY === 0 || tally.cycles === LOSS_CYCLES) {
          tally.verifyFailures += (await verifyDatabase(postgres.url)).failures.length;
          console.log(`database lost: ${JSON.stringify(tally)}`);
        }
      }
      expect(server.process.exitCode).toBeNull();
      server.process.kill('SIGTERM');
      expect(await server.ended).toBe(0);
      await postgres.stop();
      expect(tally).toMatchObject({ lost: 0, writtenTwice: 0, verifyFailures: 0 });
      expect(tally.jobsSeenThrough).toBe(LOSS_CYCLES);
    },
    limitMs(LOSS_CYCLES),
  );
});
