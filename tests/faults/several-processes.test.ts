/** Three server processes on one PostgreSQL, as behind a balancer: whichever is asked, the answer is the same. */
import { mkdtemp, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import pg from 'pg';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import type { Client } from '@rundlet/client';
import { api, type Act } from '@rundlet/contracts';
import { verifyDatabase } from '../../apps/server/src/journal/verification.ts';
import { BEAT_MS } from '../../apps/server/src/jobs/thread-jobs.ts';
import { databases, emptyDatabase, type EmptyDatabase } from '../support/database.ts';
import { isOver, longBlend, until } from '../support/jobs.ts';
import { clientOf, problemOf } from '../support/server.ts';
import { act, layDownSmallEstate, newId, type SmallEstate } from '../support/small-estate.ts';
import {
  demoClient,
  ensureServerBuilt,
  spawnServer,
  untilReady,
  type ServerProcess,
} from '../support/process.ts';

const { jobs, journal, labels, maturation, session } = api;

describe.runIf(databases.includes('postgres'))('several processes on one PostgreSQL', () => {
  let database: EmptyDatabase;
  let data: string;
  let servers: ServerProcess[];
  let hands: Client[];
  let estate: SmallEstate;

  beforeAll(async () => {
    await ensureServerBuilt();
    database = await emptyDatabase('postgres');
    data = await mkdtemp(join(tmpdir(), 'rundlet-several-'));
    const environment = {
      RUNDLET_DATA: data,
      DATABASE_URL: database.url,
      RUNDLET_DEMO: '1',
      RUNDLET_LOG: 'info',
    };
    servers = await Promise.all([1, 2, 3].map(() => spawnServer(environment)));
    await Promise.all(servers.map(untilReady));
    hands = await Promise.all(servers.map((server) => demoClient(server, data, 'keeper')));
    estate = await layDownSmallEstate(hand(0), { casks: 12 });
  });
  afterAll(async () => {
    for (const server of servers) server.process.kill('SIGTERM');
    await Promise.all(servers.map(({ ended }) => ended));
    await database.drop();
    await rm(data, { recursive: true });
  });

  const hand = (of: number): Client => hands[of % hands.length] as Client;
  const submit = (at: Client, body: Act) =>
    at.call(journal.submit, { body }).then(
      ({ status }) => status,
      async () => (await problemOf(at.call(journal.submit, { body }))).type,
    );
  /** Sends each to every process at once. */
  const toAll = (acts: readonly Act[]) =>
    Promise.all(acts.map((one) => Promise.all(hands.map((at) => submit(at, one)))));
  const once = (answers: readonly string[]) => answers.filter((a) => a === 'applied').length;

  test('the same act sent to all of them at once is written once', async () => {
    const notes = Array.from({ length: 40 }, (_, i) =>
      act('cask.note', { caskId: estate.caskIds[i % 12] ?? '', text: `note ${String(i)}` }),
    );
    for (const answers of await toAll(notes)) {
      expect(once(answers)).toBe(1);
      expect(answers.filter((a) => a === 'already-applied')).toHaveLength(2);
    }
  });

  test('of acts that clash, one is written and the others are refused', async () => {
    const [empty = '', place = ''] = [estate.caskIds.at(-1), estate.positionIds.at(-1)];
    const fills = hands.map(() =>
      act('cask.fill', {
        caskId: empty,
        fillingId: newId(),
        vatId: estate.vatId,
        readings: { method: 'declared', bulkLitresAt20C: 200, strengthPercentVol: 63.5 },
        positionId: null,
      }),
    );
    const moves = hands.map((_, i) =>
      act('cask.move', { caskId: estate.caskIds[i] ?? '', positionId: place }),
    );
    const accounts = hands.map(() =>
      act('account.register', {
        id: newId(),
        code: 'TWICE',
        name: 'Wanted by three',
        kind: 'own',
        remark: null,
      }),
    );
    for (const clashing of [fills, moves, accounts]) {
      const answers = await Promise.all(clashing.map((one, i) => submit(hand(i), one)));
      expect(once(answers)).toBe(1);
    }
  });

  test('what many hands do at all of them at once makes one chain that verifies', async () => {
    const acts = Array.from({ length: 90 }, (_, i) =>
      i % 3 === 0
        ? act('cask.gauge', {
            caskId: estate.caskIds[i % 11] ?? '',
            readings: {
              method: 'declared',
              bulkLitresAt20C: 190 - i / 10,
              strengthPercentVol: 62,
            },
          })
        : act('cask.note', { caskId: estate.caskIds[i % 12] ?? '', text: `hand ${String(i)}` }),
    );
    const answers = await Promise.all(acts.map((one, i) => submit(hand(i), one)));
    expect(once(answers)).toBe(90);
    const report = await verifyDatabase(database.url);
    expect(report.failures).toEqual([]);
    const rows = await query(`SELECT COUNT(*) AS n, MAX("seq") AS last FROM "journal_entry"`);
    expect(Number(rows[0]?.['n'])).toBe(Number(rows[0]?.['last']));
  });

  test('whoever signs in at one is known at all; signing out ends it at all', async () => {
    let calls = 0;
    const clerk = await demoClient(
      { base: () => servers[calls++ % servers.length]?.base ?? '' },
      data,
      'clerk',
    );
    for (let i = 0; i < 3; i++)
      expect((await clerk.call(session.me)).person.signInName).toBe('clerk');
    await clerk.call(session.signOut);
    for (let i = 0; i < 3; i++) expect((await problemOf(clerk.call(session.me))).status).toBe(401);
  });

  test('wrong tries at all of them at once count together', async () => {
    const tries = Array.from({ length: 12 }, (_, i) =>
      problemOf(
        clientOf(servers[i % 3]?.base ?? '').call(session.signIn, {
          body: { signInName: 'blender', password: `not the right one ${String(i)}` },
        }),
      ),
    );
    const statuses = (await Promise.all(tries)).map(({ status }) => status);
    expect(statuses.filter((status) => status === 401)).toHaveLength(5);
    expect(statuses.filter((status) => status === 429)).toHaveLength(7);
  });

  test('a job started at one is watched at another and cancelled at a third', async () => {
    const id = await withFillingsHeld(async () => {
      const id = await longBlend(hand(0));
      const running = await until(
        hand(1),
        id,
        ({ status, detail }) => status === 'running' && detail['stage'] !== undefined,
      );
      expect(running.finishedAt).toBeNull();
      await cancelAt(hand(2), id);
      return id;
    });
    expect((await until(hand(1), id, isOver)).status).toBe('cancelled');
  });

  test('a calibration asked for at all of them at once is made once', async () => {
    const asked = await Promise.all(hands.map((at) => at.call(maturation.calibrate)));
    expect(new Set(asked.map(({ jobId }) => jobId)).size).toBe(1);
    const over = await until(hand(1), asked[0]?.jobId ?? '', isOver);
    expect(over.status).toBe('done');
    const seen = await Promise.all(hands.map((at) => at.call(maturation.calibration)));
    expect(new Set(seen.map(({ id }) => id)).size).toBe(1);
    expect(seen[0]?.id).not.toBe('priors');
  });

  test('labels made by one are fetched from another', async () => {
    const { jobId } = await hand(0).call(labels.run, {
      body: {
        templateId: 'cask-roll-100x50',
        subjectIds: [...estate.caskIds],
        format: 'zpl',
        dpi: 203,
      },
    });
    await until(hand(1), jobId, isOver);
    const files = await Promise.all(
      hands.map((at) => at.file(labels.runFile, { params: { id: jobId } })),
    );
    for (const { bytes } of files)
      expect(Buffer.from(bytes).toString().match(/\^XA/g)).toHaveLength(12);
  });

  test('a job whose process is killed is begun again by another', async () => {
    const { id, left } = await withFillingsHeld(async () => {
      const id = await longBlend(hand(0));
      await until(hand(1), id, ({ status }) => status === 'running');
      const runBy = async () =>
        (await query(`SELECT "runBy" FROM "job" WHERE "id" = '${id}'`))[0]?.['runBy'] as
          string | null;
      const first = await runBy();
      // Whichever of them took it: those that are left must be able to go on.
      const doing = servers.findIndex((s) => s.logged().includes(`"job begun","jobId":"${id}"`));
      servers[doing]?.process.kill('SIGKILL');
      await servers[doing]?.ended;
      const left = hand(doing + 1);
      while ([first, null].includes(await runBy())) await new Promise((go) => setTimeout(go, 200));
      expect((await left.call(jobs.get, { params: { id } })).status).toBe('running');
      await cancelAt(left, id);
      return { id, left };
    });
    expect((await until(left, id, isOver)).status).toBe('cancelled');
    expect((await verifyDatabase(database.url)).failures).toEqual([]);
  });

  /** Nobody can read fillings meanwhile, so that a blend asked for is underway however quickly it would be found. */
  async function withFillingsHeld<T>(work: () => Promise<T>): Promise<T> {
    const client = await connected();
    try {
      await client.query('BEGIN');
      await client.query('LOCK TABLE "filling" IN ACCESS EXCLUSIVE MODE');
      return await work();
    } finally {
      await client.end();
    }
  }

  /** Cancels, and leaves whoever runs the job the time to see it. */
  async function cancelAt(at: Client, id: string): Promise<void> {
    await at.call(jobs.cancel, { params: { id } });
    await new Promise((go) => setTimeout(go, 3 * BEAT_MS));
  }

  async function query(statement: string): Promise<Record<string, unknown>[]> {
    const client = await connected();
    try {
      return (await client.query<Record<string, unknown>>(statement)).rows;
    } finally {
      await client.end();
    }
  }

  async function connected(): Promise<pg.Client> {
    const url = new URL(database.url);
    const client = new pg.Client({
      connectionString: database.url,
      options: `-c search_path=${url.searchParams.get('schema') ?? ''}`,
    });
    await client.connect();
    return client;
  }
});
