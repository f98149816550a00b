/** Days on which something else fails: the disk, the clock, the network in the middle of a sync. */
import { request } from 'node:http';
import { afterEach, describe, expect, test } from 'vitest';
import { api, type Act } from '@rundlet/contracts';
import { CONNECTIONS, type Connections } from '../../apps/server/src/database/data-source.ts';
import { verifyDatabase } from '../../apps/server/src/journal/verification.ts';
import { Devices } from '../../apps/server/src/session/devices.ts';
import { databases } from '../support/database.ts';
import { isOver, until } from '../support/jobs.ts';
import { problemOf, startServer, type TestServer } from '../support/server.ts';
import { act, doActs, layDownSmallEstate } from '../support/small-estate.ts';

const { journal, maturation } = api;
const HOUR_MS = 3_600_000;

let server: TestServer;
afterEach(() => server.stop());

const expectWhole = async (): Promise<void> => {
  expect((await verifyDatabase(server.settings.databaseUrl)).failures).toEqual([]);
};

test('with a full disk acts are refused as such, reading goes on, and with room the same acts are taken', async () => {
  server = await startServer('file');
  const keeper = await server.as('keep');
  const { caskIds } = await layDownSmallEstate(keeper);
  const { writer } = server.app.get<Connections>(CONNECTIONS);
  // SQLite's own limit on the file: at it, writing fails as it does on a full disk, with SQLITE_FULL.
  const [size] = await writer.query<{ page_count: number }[]>('PRAGMA page_count');
  await writer.query(`PRAGMA max_page_count = ${String(size?.page_count)}`);
  const sent: Act[] = [];
  let refused: Awaited<ReturnType<typeof problemOf>> | null = null;
  while (refused === null) {
    const body = act('cask.note', { caskId: caskIds[0] ?? '', text: 'x'.repeat(900) });
    sent.push(body);
    refused = await keeper.call(journal.submit, { body }).then(
      () => null,
      () => problemOf(keeper.call(journal.submit, { body })),
    );
  }
  expect(refused).toMatchObject({ status: 507, type: '/problems/disk-full' });
  const last = sent.at(-1)?.id ?? '';
  expect((await problemOf(keeper.call(journal.entry, { params: { id: last } }))).status).toBe(404);
  await expectWhole();
  await writer.query('PRAGMA max_page_count = 1073741823');
  const { results } = await keeper.call(journal.submitMany, { body: { acts: sent } });
  expect(results.map(({ status }) => status)).toEqual([
    ...sent.slice(1).map(() => 'already-applied'),
    'applied',
  ]);
  await expectWhole();
});

describe.each(databases)('on %s', (kind) => {
  test('a clock set back by an hour changes no order, signs nobody out and loses no act', async () => {
    let offMs = 0;
    server = await startServer(kind, { now: () => new Date(Date.now() + offMs) });
    const keeper = await server.signedIn('keep');
    const { caskIds } = await layDownSmallEstate(keeper, { casks: 9 });
    const caskId = caskIds[0] ?? '';
    const calibrate = async () => {
      const { jobId } = await keeper.call(maturation.calibrate);
      expect((await until(keeper, jobId, isOver)).status).toBe('done');
      return (await keeper.call(maturation.calibration)).id;
    };
    await doActs(keeper, [act('cask.note', { caskId, text: 'before' })]);
    const first = await calibrate();
    const phone = new Date().toISOString();
    offMs = -HOUR_MS;
    await doActs(keeper, [act('cask.note', { caskId, text: 'after' })]);
    const { results } = await keeper.call(journal.submitMany, {
      body: {
        acts: [
          act(
            'cask.note',
            { caskId, text: 'by the phone’s clock' },
            { happenedAt: phone, offline: true },
          ),
        ],
      },
    });
    // Phones and server may differ by a day before an act counts as of the future.
    expect(results[0]?.status).toBe('applied');
    const second = await calibrate();
    expect(second).not.toBe(first);
    const { rows } = await keeper.call(journal.list, { query: { limit: 50 } });
    const seqs = rows.map(({ seq }) => seq);
    expect(seqs).toEqual([...seqs].sort((a, b) => b - a));
    await expectWhole();
  });

  test('a sync cut in the middle is sent again and written once', async () => {
    server = await startServer(kind);
    const keeper = await server.as('keep');
    const { caskIds } = await layDownSmallEstate(keeper);
    const { secret } = await server.app.get(Devices).issue('phone', ['keep'], 'test');
    const acts = Array.from({ length: 120 }, (_, i) =>
      act(
        'cask.note',
        { caskId: caskIds[i % 3] ?? '', text: `note ${String(i)}` },
        { offline: true },
      ),
    );
    const body = JSON.stringify({ acts });
    /** Sends so much of the body and hangs up after so long. */
    const cut = (bytes: number, afterMs: number) =>
      new Promise<void>((done) => {
        const sending = request(`${server.base}${journal.submitMany.path}`, {
          method: 'POST',
          headers: {
            authorization: `Bearer ${secret}`,
            'content-type': 'application/json',
            'content-length': Buffer.byteLength(body),
          },
        });
        sending.on('error', () => done());
        sending.on('close', () => done());
        sending.write(body.slice(0, bytes));
        setTimeout(() => sending.destroy(), afterMs);
      });
    await cut(body.length / 2, 50);
    for (const afterMs of [5, 15, 40, 80]) await cut(body.length, afterMs);
    const { results } = await keeper.call(journal.submitMany, { body: { acts } });
    expect(new Set(results.map(({ status }) => status))).not.toContain('refused');
    const ids = acts.map(({ id }) => id);
    expect(results.map(({ entry }) => entry?.id)).toEqual(ids);
    const seqs = results.map(({ entry }) => entry?.seq ?? 0);
    // Half a body is no request; a whole one is written whole and in its order, whoever is still there to hear of it.
    expect(seqs).toEqual([...seqs].sort((a, b) => a - b));
    expect((seqs.at(-1) ?? 0) - (seqs[0] ?? 0)).toBe(acts.length - 1);
    await expectWhole();
  });
});
