import { describe, expect, test } from 'vitest';
import { api } from '@rundlet/contracts';
import sql, { raw } from 'sql-template-tag';
import { SUM_TABLES, sumAnew } from '../../apps/server/src/database/sums.ts';
import { UnitOfWork } from '../../apps/server/src/database/unit-of-work.ts';
import { databases } from '../support/database.ts';
import { act, doActs, layDownSmallEstate, newId } from '../support/small-estate.ts';
import { startServer, type TestServer } from '../support/server.ts';

/** Every sum that is not nothing, as it is kept; `anew` adds all up from the records first. */
const sumsOf = (server: TestServer, anew: boolean): Promise<Record<string, unknown[]>> =>
  server.app.get(UnitOfWork).write(async (tx) => {
    if (anew) await sumAnew(tx);
    const sums: Record<string, unknown[]> = {};
    for (const { name, columns } of SUM_TABLES) {
      const keys = Object.keys(columns).filter((column) => columns[column]?.primary);
      const rows = await tx.all<Record<string, unknown>>(
        sql`SELECT * FROM ${raw(`"${name}"`)} ORDER BY ${raw(keys.map((key) => `"${key}"`).join())}`,
      );
      sums[name] = rows.filter((row) =>
        Object.entries(row).some(([column, value]) => !keys.includes(column) && value !== 0),
      );
    }
    return sums;
  });

describe.each(databases)('sums on %s', (kind) => {
  test('kept as acts come are those that adding up gives, reversals and changes of owner included', async () => {
    const server = await startServer(kind);
    try {
      const keeper = await server.as('keep');
      const estate = await layDownSmallEstate(keeper);
      const [first = '', second = ''] = estate.caskIds;
      const owner = newId();
      const gauge = act('cask.gauge', {
        caskId: first,
        readings: { method: 'declared', bulkLitresAt20C: 150, strengthPercentVol: 58 },
      });
      const before = await sumsOf(server, false);
      await doActs(keeper, [gauge]);
      const gauged = await sumsOf(server, false);
      expect(gauged['stock_sum']).not.toEqual(before['stock_sum']);
      expect(gauged['posting_sum']).not.toEqual(before['posting_sum']);
      await doActs(keeper, [
        act('account.register', {
          id: owner,
          code: 'OWNER',
          name: 'An owner',
          kind: 'customer',
          remark: null,
        }),
        act('cask.change-owner', { caskId: second, accountId: owner }),
        act('entry.reverse', { entryId: gauge.id, reason: 'the wrong cask' }),
      ]);
      const kept = await sumsOf(server, false);
      expect(kept['stock_sum']).toContainEqual(
        expect.objectContaining({ dimension: 'account', key: owner, casks: 1 }),
      );
      expect(kept).toEqual(await sumsOf(server, true));
      const { rows } = await keeper.call(api.owners.list);
      expect(rows.find(({ account }) => account.id === owner)?.casks).toBe(1);
    } finally {
      await server.stop();
    }
  });
});
