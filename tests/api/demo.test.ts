import { api } from '@rundlet/contracts';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { estateHistory, type HistoryOptions } from '../../demo/history.ts';
import { loadHistory } from '../../demo/load.ts';
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

  const load = async () => {
    const keeper = await server.as('keep');
    return loadHistory(
      estateHistory(options),
      { keeper, blender: keeper, clientOf: () => keeper },
      () => undefined,
    );
  };

  test(
    'loads through the API, once however often, and the journal verifies',
    { timeout: 240_000 },
    async () => {
      const first = await load();
      expect(first.alreadyThere).toBe(0);
      expect(first.loggerRows).toBeGreaterThan(100_000);
      const again = await load();
      expect(again.alreadyThere).toBe(first.acts);
      const reader = await server.as('read');
      const overview = await reader.call(api.places.overview);
      expect(overview.casksFilled + overview.casksEmpty).toBeGreaterThanOrEqual(59);
      expect(overview.openStocktakes).toBe(1);
      // The last round met a forecast that stood before it.
      const { rows } = await reader.call(api.casks.list, {
        query: { status: 'filled', sort: 'lastGaugedAt', direction: 'desc', limit: 5 },
      });
      const card = await reader.call(api.casks.card, { params: { id: rows[0]?.id ?? '' } });
      expect(card.gauges.some((gauge) => gauge.expected !== null)).toBe(true);
    },
  );
});
