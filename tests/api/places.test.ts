import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import type { Client } from '@rundlet/client';
import { api } from '@rundlet/contracts';
import { databases } from '../support/database.ts';
import {
  act,
  doActs,
  layDownSmallEstate,
  newId,
  type SmallEstate,
} from '../support/small-estate.ts';
import { problemOf, startServer, type TestServer } from '../support/server.ts';

describe.each(databases)('places and the overview on %s', (kind) => {
  let server: TestServer;
  let keeper: Client;
  let estate: SmallEstate;
  const now = new Date('2026-05-04T12:00:00.000Z');
  beforeAll(async () => {
    server = await startServer(kind, { now: () => now });
    keeper = await server.as('keep');
    estate = await layDownSmallEstate(keeper);
    await layDownSmallEstate(keeper, { serial: 1 });
  });
  afterAll(() => server.stop());

  test('the overview sums what was laid down', async () => {
    const overview = await keeper.call(api.places.overview);
    expect(overview).toMatchObject({
      casksFilled: 6,
      casksEmpty: 2,
      openStocktakes: 0,
      heldActs: 0,
    });
    // Six fills of 200 L at 63.5 % vol.
    expect(overview.stock.bulkLitresAt20C).toBeCloseTo(1200, 3);
    expect(overview.stock.litresPureAlcohol).toBeCloseTo(762, 3);
    expect(overview.byStore.map((s) => [s.name, s.casks])).toEqual([
      ['Shore store', 3],
      ['Shore store', 3],
    ]);
    // Filled on 4 May 2020 at 10:00: six years old on 4 May 2026 at noon.
    expect(overview.byAgeYears).toMatchObject([{ fromYears: 6, casks: 6 }]);
    expect(overview.longestUngauged).toHaveLength(6);
    const { rows } = await keeper.call(api.journal.list, { query: { limit: 1 } });
    expect(overview.journalEntries).toBe(rows[0]?.seq);
  });

  test('the day before its birthday a filling is a year younger', async () => {
    const younger = await startServer(kind, { now: () => new Date('2026-05-03T12:00:00.000Z') });
    await layDownSmallEstate(await younger.as('keep'));
    const overview = await (await younger.as('read')).call(api.places.overview);
    expect(overview.byAgeYears).toMatchObject([{ fromYears: 5, casks: 3 }]);
    await younger.stop();
  });

  test('an empty estate has an overview too', async () => {
    const empty = await startServer('memory');
    const reader = await empty.as('read');
    expect(await reader.call(api.places.overview)).toMatchObject({
      casksFilled: 0,
      stock: { bulkLitresAt20C: 0, litresPureAlcohol: 0 },
      byStore: [],
      byAgeYears: [],
      journalEntries: 0,
    });
    expect((await reader.call(api.casks.list)).rows).toEqual([]);
    expect((await reader.call(api.places.stores)).rows).toEqual([]);
    expect(
      (await reader.call(api.books.months, { query: { from: '2026-01', to: '2026-02' } })).rows,
    ).toEqual([]);
    await empty.stop();
  });

  test('stores tell what their zones hold', async () => {
    const { rows } = await keeper.call(api.places.stores);
    const [zone] = rows.find((r) => r.store.id === estate.storeId)?.zones ?? [];
    expect(zone).toMatchObject({ positions: 6, capacity: 6, casks: 4 });
    expect(zone?.figures.litresPureAlcohol).toBeCloseTo(381, 3);
  });

  test('the map puts each cask in its position, with its loss a year', async () => {
    await doActs(keeper, [
      act(
        'cask.gauge',
        {
          caskId: estate.caskIds[1] ?? '',
          readings: { method: 'declared', bulkLitresAt20C: 190, strengthPercentVol: 63.5 },
        },
        { happenedAt: '2025-05-04T10:00:00.000Z' },
      ),
    ]);
    const { cells, zone } = await keeper.call(api.places.map, { params: { id: estate.zoneId } });
    expect(zone.id).toBe(estate.zoneId);
    expect(cells.map((c) => c.position.walkOrder)).toEqual([995, 996, 997, 998, 999, 1000]);
    const standing = new Map(
      cells.flatMap((c) => c.casks.map((cask) => [cask.id, { ...cask, at: c.position.id }])),
    );
    expect(standing.size).toBe(4);
    for (const [i, id] of estate.caskIds.entries())
      expect(standing.get(id)?.at).toBe(estate.positionIds[i]);
    // 5 % of the alcohol in five years (1826 days).
    expect(standing.get(estate.caskIds[1] ?? '')?.lossPercentPerYear).toBeCloseTo(
      (5 * 365.25) / 1826,
      3,
    );
    expect(standing.get(estate.caskIds[0] ?? '')).toMatchObject({
      lossPercentPerYear: null,
      suspicion: 'none',
    });
    expect(standing.get(estate.caskIds[3] ?? '')).toMatchObject({
      status: 'empty',
      ageYears: null,
      suspicion: null,
    });
    const positionId = estate.positionIds[1] ?? '';
    expect(
      (await keeper.call(api.places.map, { params: { id: estate.zoneId }, query: { positionId } }))
        .cells,
    ).toEqual([
      {
        ...cells.find((c) => c.position.id === positionId),
        casks: [expect.objectContaining({ id: estate.caskIds[1] })],
      },
    ]);
  });

  test('positions come in walking order, free ones alone when asked', async () => {
    const walk = async (query: object) => {
      const found: string[] = [];
      let after: string | undefined;
      do {
        const page = await keeper.call(api.places.positions, {
          query: { ...query, limit: 2, ...(after ? { after } : {}) },
        });
        found.push(...page.rows.map((p) => p.id));
        after = page.next ?? undefined;
      } while (after !== undefined);
      return found;
    };
    expect(await walk({ zoneId: estate.zoneId })).toEqual([...estate.positionIds].reverse());
    expect(await walk({ zoneId: estate.zoneId, onlyFree: 'true' })).toEqual(
      [...estate.positionIds].reverse().slice(0, 2),
    );
    expect(await walk({})).toHaveLength(12);
    expect(await walk({ search: 'p0000' })).toHaveLength(6);
  });

  test('vats show what they hold and where it came from', async () => {
    const { rows } = await keeper.call(api.places.vats);
    const view = rows.find((r) => r.vat.id === estate.vatId);
    expect(view?.vat.figures.bulkLitresAt20C).toBeCloseTo(2400, 3);
    expect(view?.origins.plots).toMatchObject([{ id: estate.plotId, share: 1 }]);
    expect((await problemOf(keeper.call(api.places.vat, { params: { id: newId() } }))).status).toBe(
      404,
    );
    expect((await keeper.call(api.places.accounts)).rows).toHaveLength(2);
  });
});
