import { describe, expect, test } from 'vitest';
import { api } from '@rundlet/contracts';
import { connect, disconnect } from '../../apps/server/src/database/data-source.ts';
import { Rows } from '../../apps/server/src/database/rows.ts';
import { verifyDatabase } from '../../apps/server/src/journal/verification.ts';
import { bulkLoad } from '../../demo/bulk-load.ts';
import { largeEstate } from '../../demo/large.ts';
import sql from 'sql-template-tag';
import { databases, emptyDatabase } from '../support/database.ts';
import { serverOn } from '../support/server.ts';

const options = { seed: 'large-test', today: '2026-11-25', casks: 200, entriesPerCask: 4.5 };
const story = () => largeEstate(options);
const load = async (url: string) => {
  const connections = await connect(url);
  try {
    const loaded = await bulkLoad(
      connections,
      story(),
      () => 'keeper',
      () => undefined,
    );
    const last = await new Rows(connections.reader).one<{ hash: string }>(
      sql`SELECT "hash" FROM "journal_entry" ORDER BY "seq" DESC LIMIT 1`,
    );
    return { ...loaded, last };
  } finally {
    await disconnect(connections);
  }
};

describe.each(databases)('a large estate on %s', (kind) => {
  test('is written past the API, verifies, and serves', async () => {
    const database = await emptyDatabase(kind);
    let stop = () => database.drop();
    try {
      const { entries } = await load(database.url);
      expect(entries).toBe([...story()].flat().length);
      expect(entries).toBeGreaterThan(200 * 4);
      await expect(load(database.url)).rejects.toThrow('not empty');
      expect(await verifyDatabase(database.url)).toMatchObject({ ok: true, failures: [], entries });
      const server = await serverOn(database);
      stop = () => server.stop();
      const keeper = await server.as('keep');
      expect(await keeper.call(api.places.overview)).toMatchObject({
        casksFilled: 200,
        openStocktakes: 1,
        journalEntries: entries,
      });
    } finally {
      await stop();
    }
  });

  test('is the same each time it is told with the same seed', async () => {
    const hashes = [];
    for (let i = 0; i < 2; i++) {
      const database = await emptyDatabase(kind);
      hashes.push((await load(database.url)).last?.hash);
      await database.drop();
    }
    expect(hashes[0]).toMatch(/^[0-9a-f]{64}$/);
    expect(hashes[1]).toBe(hashes[0]);
  });
});
