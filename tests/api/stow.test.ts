/** Where to put a cask, what is in its way, and the way past any list of casks. */
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import type { Client } from '@rundlet/client';
import { api } from '@rundlet/contracts';
import { makePositionCode } from '@rundlet/identifiers';
import { databases } from '../support/database.ts';
import { problemOf, startServer, type TestServer } from '../support/server.ts';
import {
  act,
  doActs,
  layDownSmallEstate,
  newId,
  type SmallEstate,
} from '../support/small-estate.ts';

describe.each(databases)('stow on %s', (kind) => {
  let server: TestServer;
  let keeper: Client;
  let estate: SmallEstate;
  const dunnageId = newId();
  /** Three bays of two tiers, the mouth at bay 1; in walking order. */
  const places = ['1/1', '1/2', '2/1', '2/2', '3/1', '3/2'].map((at, i) => ({
    id: newId(),
    code: makePositionCode(900 + i),
    row: 'D',
    bay: at[0] ?? '',
    level: at[2] ?? '',
    slot: '1',
    capacity: 1,
    walkOrder: 2000 + i,
  }));
  const at = (bay: number, level: number): string =>
    places.find((p) => p.bay === String(bay) && p.level === String(level))?.id ?? '';
  const cask = (i: number): string => estate.caskIds[i] ?? '';
  const dunnage = { kind: 'dunnage', mouth: 'lowest-bay', largestCaskLitres: 250 } as const;
  beforeAll(async () => {
    server = await startServer(kind);
    keeper = await server.as('read', 'warehouse', 'keep');
    estate = await layDownSmallEstate(keeper, { casks: 6 });
    await doActs(keeper, [
      act('zone.register', {
        id: dunnageId,
        storeId: estate.storeId,
        code: 'HP-D',
        name: 'Undercroft',
        floor: -1,
      }),
      act('position.register', { zoneId: dunnageId, positions: places }),
    ]);
  });
  afterAll(() => server.stop());

  const zoneNow = async () => {
    const { rows } = await keeper.call(api.places.stores);
    return rows.flatMap(({ zones }) => zones).find(({ zone }) => zone.id === dunnageId)?.zone;
  };
  const suggest = async (query: object) =>
    (await keeper.call(api.places.suggest, { query: { caskId: cask(5), limit: 50, ...query } }))
      .rows;

  test('a zone says how it is stowed once somebody has described it', async () => {
    expect((await zoneNow())?.stow).toBeNull();
    const before = (await suggest({})).find(({ position }) => position.zoneId === dunnageId);
    expect(before?.lifts).toBeNull();
    const describe = () => act('zone.describe', { zoneId: dunnageId, stow: dunnage });
    const first = describe();
    await doActs(keeper, [first]);
    expect((await zoneNow())?.stow).toEqual(dunnage);
    const { results } = await keeper.call(api.journal.submitMany, { body: { acts: [describe()] } });
    expect(results[0]?.problem?.type).toBe('/problems/nothing-to-do');
    await doActs(keeper, [act('entry.reverse', { entryId: first.id, reason: 'slip' })]);
    expect((await zoneNow())?.stow).toBeNull();
    await doActs(keeper, [describe()]);
    const { rows } = await keeper.call(api.journal.list, { query: { limit: 1 } });
    expect(rows[0]?.words).toBe(
      'Undercroft is stowed on dunnage, tier on tier, each row reached at its first bay, for casks up to 250 L.',
    );
    const hand = await server.as('warehouse');
    const refused = await hand.call(api.journal.submitMany, {
      body: {
        acts: [
          act('zone.describe', { zoneId: dunnageId, stow: { ...dunnage, mouth: 'both-ends' } }),
        ],
      },
    });
    expect(refused.results[0]?.problem?.status).toBe(403);
  });

  test('suggestions have room, rest on something, and begin at the far end', async () => {
    const inRow = async () =>
      (await suggest({})).filter(({ position }) => position.zoneId === dunnageId);
    // An empty row offers its floor alone.
    expect((await inRow()).map(({ position }) => position.bay).sort()).toEqual(['1', '2', '3']);
    expect((await inRow())[0]).toMatchObject({
      position: { bay: '3', level: '1' },
      zoneName: 'Undercroft',
      lifts: 0,
      why: ['nothing to shift', 'an empty row'],
    });
    await doActs(keeper, [
      act('cask.move', { caskId: cask(0), positionId: at(3, 1) }),
      act('cask.move', { caskId: cask(1), positionId: at(2, 1) }),
      act('cask.move', { caskId: cask(2), positionId: at(2, 2) }),
    ]);
    const offered = await inRow();
    const offer = (bay: number, level: number) =>
      offered.find(({ position }) => position.id === at(bay, level));
    expect(offer(2, 1)).toBeUndefined();
    expect(offer(3, 2)).toMatchObject({ lifts: 1 });
    expect(offer(1, 1)?.why).toContain('will lie before 2 casks of other parcels');
    // About to be filled from the vat of the same spirit lot: then they are one parcel.
    const filled = (await suggest({ vatId: estate.vatId })).find(
      ({ position }) => position.id === at(1, 1),
    );
    expect(filled?.why.join()).not.toContain('other parcels');
    expect(filled?.why).toContain('with 3 casks of its parcel in the row');
  });

  test('any list comes back in walking order, with the lifts to each', async () => {
    const { stops } = await keeper.call(api.places.walk, {
      body: { caskIds: [cask(0), cask(2), cask(4), cask(1), newId()] },
    });
    expect(stops.map(({ caskId, lifts }) => [caskId, lifts])).toEqual([
      [cask(4), null],
      [cask(1), 1],
      [cask(2), 0],
      [cask(0), 2],
    ]);
    expect(stops[1]?.place).toMatchObject({ store: 'Shore store', zone: 'Undercroft' });
    const stranger = await problemOf(keeper.call(api.places.walk, { body: { caskIds: [] } }));
    expect(stranger.status).toBe(400);
  });

  test('a climate wished for is taken from the loggers; zones without one are not offered', async () => {
    expect(await suggest({ climate: 'cooler' })).toEqual([]);
    const hours = Array.from({ length: 48 }, (_, i) =>
      new Date(Date.UTC(2025, 0, 1, i)).toISOString(),
    );
    for (const [zoneId, airC] of [
      [dunnageId, 9],
      [estate.zoneId, 15],
    ] as const)
      await keeper.call(api.maturation.importClimate, {
        params: { id: zoneId },
        body: {
          actId: newId(),
          logger: 'Logger 7',
          csv: ['time,temp,rh', ...hours.map((hour) => `${hour},${String(airC)},80`)].join('\n'),
          apply: true,
        },
      });
    const first = async (climate: string) => (await suggest({ climate }))[0];
    expect((await first('cooler'))?.position.zoneId).toBe(dunnageId);
    expect((await first('warmer'))?.position.zoneId).toBe(estate.zoneId);
    expect((await first('warmer'))?.why[0]).toBe('mean of its last year 15.0 °C, 80 %');
  });
});
