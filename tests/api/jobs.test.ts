import type { Client } from '@rundlet/client';
import { api } from '@rundlet/contracts';
import sql from 'sql-template-tag';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { createApp } from '../../apps/server/src/create-app.ts';
import { UnitOfWork } from '../../apps/server/src/database/unit-of-work.ts';
import { Jobs } from '../../apps/server/src/jobs/jobs.ts';
import { WorkerThread } from '../../apps/server/src/jobs/worker-thread.ts';
import type { MaturationTasks } from '../../apps/server/src/workers/maturation.worker.ts';
import { databases } from '../support/database.ts';
import { isOver, longBlend, until } from '../support/jobs.ts';
import { clientOf, problemOf, startServer, type TestServer } from '../support/server.ts';
import {
  act,
  doActs,
  layDownSmallEstate,
  newId,
  type SmallEstate,
} from '../support/small-estate.ts';

const { jobs, maturation } = api;

describe.each(databases)('jobs on %s', (kind) => {
  let server: TestServer;
  let blender: Client;
  let estate: SmallEstate;
  beforeAll(async () => {
    server = await startServer(kind);
    blender = await server.as('blend');
    const keeper = await server.as('keep');
    estate = await layDownSmallEstate(keeper, { casks: 15 });
    await doActs(
      keeper,
      [2021, 2022, 2023, 2024, 2025].flatMap((year, i) =>
        estate.caskIds.slice(0, 14).map((caskId) =>
          act(
            'cask.gauge',
            {
              caskId,
              readings: {
                method: 'declared',
                bulkLitresAt20C: 193 - 4 * i,
                strengthPercentVol: 63.2 - 0.3 * i,
              },
            },
            { happenedAt: `${String(year)}-05-05T09:00:00.000Z` },
          ),
        ),
      ),
    );
  });
  afterAll(() => server.stop());

  test('a job tells how it stands until it is done', async () => {
    const { jobId } = await blender.call(maturation.calibrate);
    const first = await blender.call(jobs.get, { params: { id: jobId } });
    expect(first).toMatchObject({
      id: jobId,
      kind: 'calibrate',
      result: null,
      error: null,
      finishedAt: null,
    });
    expect(['waiting', 'running']).toContain(first.status);
    const over = await until(blender, jobId, isOver);
    expect(over).toMatchObject({ status: 'done', progress: 1, error: null });
    expect(over.result).toMatchObject({ fillings: 14, regauges: 70 });
  });

  test('a waiting job is cancelled at once; a running one stops soon', async () => {
    const running = await blender.call(maturation.calibrate).then(({ jobId }) => jobId);
    const others = [
      await longBlend(blender),
      await longBlend(blender),
      await longBlend(blender),
      await longBlend(blender),
    ];
    const last = others.at(-1) ?? '';
    expect((await blender.call(jobs.cancel, { params: { id: last } })).status).toBe('cancelled');
    for (const id of [...others.slice(0, -1), running]) {
      await blender.call(jobs.cancel, { params: { id } });
      const job = await until(blender, id, isOver);
      expect(['cancelled', 'done']).toContain(job.status);
    }
    // Cancelling what is over changes nothing.
    expect((await blender.call(jobs.cancel, { params: { id: last } })).status).toBe('cancelled');
  });

  test('who started it may cancel it, or a keeper; nobody else', async () => {
    const jobId = await longBlend(blender);
    const other = await server.as('blend');
    expect((await problemOf(other.call(jobs.cancel, { params: { id: jobId } }))).status).toBe(403);
    const keeper = await server.as('keep');
    await keeper.call(jobs.cancel, { params: { id: jobId } });
    await until(keeper, jobId, isOver);
  });

  test('an unknown job is not found', async () => {
    expect((await problemOf(blender.call(jobs.get, { params: { id: newId() } }))).status).toBe(404);
    expect((await problemOf(blender.call(jobs.cancel, { params: { id: newId() } }))).status).toBe(
      404,
    );
  });

  test('a job that fails says so in its own words', async () => {
    const own = server.app.get(Jobs);
    own.define<object, unknown>({
      kind: 'test.missing',
      worker: 'blending',
      task: 'no-such-task',
      timeLimitSeconds: () => 30,
      finish: async () => null,
    });
    own.define<object, unknown>({
      kind: 'test.too-long',
      worker: 'maturation',
      task: 'learn',
      timeLimitSeconds: () => 0.001,
      finish: async () => null,
    });
    const missing = await own.start('test.missing', {}, 'test');
    expect(await until(blender, missing, isOver)).toMatchObject({
      status: 'failed',
      error: expect.stringContaining('no-such-task') as string,
    });
    const tooLong = await own.start('test.too-long', {}, 'test');
    expect(await until(blender, tooLong, isOver)).toMatchObject({
      status: 'failed',
      error: expect.stringContaining('longer than') as string,
    });
  });

  test('after a restart a job that was going on is failed, not running for ever', async () => {
    const id = newId();
    const row = {
      id,
      kind: 'blend',
      status: 'running',
      progress: 0.4,
      request: '{}',
      detail: '{}',
      result: null,
      error: null,
      createdBy: 'somebody',
      createdAt: new Date().toISOString(),
      startedAt: null,
      finishedAt: null,
    };
    await server.app.get(UnitOfWork).write((tx) => tx.insert('job', row));
    const again = await createApp(server.settings);
    await again.listen(0, '127.0.0.1');
    const job = await blender.call(jobs.get, { params: { id } });
    expect(job).toMatchObject({
      status: 'failed',
      error: expect.stringContaining('nterrupted') as string,
    });
    expect(job.finishedAt).not.toBeNull();
    await again.close();
    expect(clientOf(server.base)).toBeDefined();
  });

  test('threads are ended at any moment of their work without harm to the server', async () => {
    // SQLite's driver is native: ended while it hands rows over, a thread would take the process with it.
    for (let i = 0; i < 15; i++) {
      const thread = new WorkerThread<MaturationTasks>('maturation', server.settings);
      const work = thread.run('learn', {}, { timeLimitSeconds: 60 });
      work.catch(() => undefined);
      await new Promise((go) => setTimeout(go, 150 + ((i * 97) % 800)));
      await thread.close();
      await work.then(
        () => undefined,
        (error: unknown) => {
          expect(String(error)).toContain('stopping');
        },
      );
    }
    expect((await fetch(`${server.base}/ready`)).status).toBe(200);
    expect(await server.app.get(UnitOfWork).write((tx) => tx.one(sql`SELECT 1 AS "one"`))).toEqual({
      one: 1,
    });
  });
});
