import { api, VerifyReport } from '@rundlet/contracts';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { estateHistory, type HistoryOptions } from '../../demo/history.ts';
import { DemoRefused, loadHistory } from '../../demo/load.ts';
import { databases } from '../support/database.ts';
import { startServer, type TestServer } from '../support/server.ts';

const today = new Date().toISOString().slice(0, 10);
const options: HistoryOptions = { seed: 'demo-test', today, casks: 60 };

describe.each(databases)('the demo estate on %s', (kind) => {
  let server: TestServer;
  beforeAll(async () => {
    server = await startServer(kind);
  });
  afterAll(() => server.stop());

  /** One logger's file is enough here; all five take their time. */
  const history = () => {
    const { acts, lastRoundOn, loggerFiles } = estateHistory(options);
    return { acts, lastRoundOn, loggerFiles: () => [...loggerFiles()].slice(0, 1) };
  };
  const load = async (told: Parameters<typeof loadHistory>[0]) => {
    const anyone = await server.as('administer');
    const crew = { keeper: anyone, blender: anyone, clientOf: () => anyone };
    return loadHistory(told, crew, () => undefined);
  };

  test(
    'loads through the API, once however often, and the journal verifies',
    { timeout: 300_000 },
    async () => {
      const first = await load(history());
      expect(first.alreadyThere).toBe(0);
      expect(first.loggerRows).toBeGreaterThan(25_000);
      const again = await load(history());
      expect(again.alreadyThere).toBe(first.acts);

      const keeper = await server.as('keep');
      const overview = await keeper.call(api.places.overview);
      expect(overview.casksFilled + overview.casksEmpty).toBeGreaterThanOrEqual(59);
      expect(overview.openStocktakes).toBe(1);
      // The last round met a forecast that stood before it.
      const { rows } = await keeper.call(api.casks.list, {
        query: { status: 'filled', sort: 'lastGaugedAt', direction: 'desc', limit: 5 },
      });
      const card = await keeper.call(api.casks.card, { params: { id: rows[0]?.id ?? '' } });
      expect(card.gauges.some((gauge) => gauge.expected !== null)).toBe(true);

      const { jobId } = await keeper.call(api.journal.verify);
      await expect
        .poll(async () => (await keeper.call(api.jobs.get, { params: { id: jobId } })).result, {
          timeout: 60_000,
          interval: 300,
        })
        .not.toBeNull();
      const job = await keeper.call(api.jobs.get, { params: { id: jobId } });
      expect(VerifyReport.parse(job.result)).toMatchObject({ ok: true, failures: [] });
    },
  );

  test('a refused act stops the load and is named', async () => {
    const told = history();
    const wrong = {
      id: '0190f2a0-0000-7000-8000-000000000001',
      kind: 'cask.move',
      happenedAt: '2024-07-01T10:00:00.000Z',
      body: {
        caskId: '0190f2a0-0000-7000-8000-000000000002',
        positionId: '0190f2a0-0000-7000-8000-000000000003',
      },
    } as const;
    const attempt = load({ ...told, acts: [[wrong]] });
    await expect(attempt).rejects.toThrow(DemoRefused);
    await expect(attempt).rejects.toThrow(/refused act 0190f2a0-.*cask\.move of 2024-07-01/);
  });
});
