/** State written by an older program comes out of a rebuild as the journal has it. */
import { api } from '@rundlet/contracts';
import sql from 'sql-template-tag';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { rebuildState } from '../../apps/server/src/database/rebuild-state.ts';
import { UnitOfWork } from '../../apps/server/src/database/unit-of-work.ts';
import { verifyDatabase } from '../../apps/server/src/journal/verification.ts';
import { databases } from '../support/database.ts';
import { startServer, type TestServer } from '../support/server.ts';
import { act, doActs, layDownSmallEstate } from '../support/small-estate.ts';

describe.each(databases)('a rebuild on %s', (kind) => {
  let server: TestServer;
  beforeAll(async () => {
    server = await startServer(kind);
  });
  afterAll(() => server.stop());

  test('mends records without a field, records that are gone and effects of another shape; entries can still be taken back', async () => {
    const keeper = await server.as('keep');
    const { caskIds, positionIds } = await layDownSmallEstate(keeper, { casks: 4 });
    const [caskId = ''] = caskIds;
    const move = act('cask.move', { caskId, positionId: positionIds.at(-1) ?? '' });
    await doActs(keeper, [move]);
    const url = server.settings.databaseUrl;
    const work = server.app.get(UnitOfWork);
    await work.write(async (tx) => {
      await tx.run(sql`UPDATE "cask" SET "record" = '{"id":"x"}' WHERE "id" <> ${caskId}`);
      await tx.run(sql`DELETE FROM "filling"`);
      await tx.run(sql`DELETE FROM "filling_lot"`);
      await tx.run(sql`UPDATE "entry_effect" SET "effects" = '[]'`);
    });
    expect((await verifyDatabase(url)).ok).toBe(false);
    await work.write(rebuildState);
    const report = await verifyDatabase(url);
    expect(report.failures).toEqual([]);
    expect(report.records).toBeGreaterThan(10);
    const { results } = await keeper.call(api.journal.submitMany, {
      body: { acts: [act('entry.reverse', { entryId: move.id, reason: 'slip' })] },
    });
    expect(results.map(({ status }) => status)).toEqual(['applied']);
    expect((await verifyDatabase(url)).ok).toBe(true);
  });
});
