import Papa from 'papaparse';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import type { Client } from '@rundlet/client';
import { api, type Act } from '@rundlet/contracts';
import { makeCaskCode } from '@rundlet/identifiers';
import { databases } from '../support/database.ts';
import {
  act,
  doActs,
  layDownSmallEstate,
  newId,
  type SmallEstate,
} from '../support/small-estate.ts';
import { problemOf, startServer, type TestServer } from '../support/server.ts';

const CASKS = 8;

describe.each(databases)('a stock-take on %s', (kind) => {
  let server: TestServer;
  let keeper: Client;
  let operative: Client;
  let estate: SmallEstate;
  const id = newId();
  const cask = (i: number) => estate.caskIds[i] ?? '';
  const place = (i: number) => estate.positionIds[i] ?? '';
  const count = (i: number, at: number, more = {}): Act =>
    act('stocktake.count', {
      stocktakeId: id,
      scanned: makeCaskCode(i),
      caskId: cask(i),
      positionId: place(at),
      damagedLabel: false,
      ...more,
    });
  beforeAll(async () => {
    server = await startServer(kind);
    [keeper, operative] = [await server.as('keep'), await server.as('warehouse')];
    estate = await layDownSmallEstate(keeper, { casks: CASKS });
    await doActs(keeper, [
      act('stocktake.open', {
        id,
        code: 'ST-2026/1',
        title: 'Spring',
        blind: false,
        scope: { storeId: estate.storeId, zoneIds: [estate.zoneId], rows: [] },
      }),
    ]);
    await doActs(operative, [
      ...[0, 1, 2, 3].map((i) => count(i, i)),
      count(4, 8),
      count(0, 0),
      count(1, 1, { damagedLabel: true }),
      act('stocktake.count', {
        stocktakeId: id,
        scanned: '=1+1',
        caskId: null,
        positionId: place(9),
        damagedLabel: false,
      }),
    ]);
  });
  afterAll(() => server.stop());

  test('tells expected, found, misplaced, unknown, twice and damaged', async () => {
    const view = await keeper.call(api.stocktakes.get, { params: { id } });
    expect(view.tally).toEqual({
      expected: CASKS,
      found: 4,
      misplaced: 1,
      missing: 0,
      unknown: 1,
      twice: 2,
      damagedLabels: 1,
      stillToFind: 3,
    });
    expect((await keeper.call(api.stocktakes.list)).rows).toEqual([view]);
    expect(
      (await problemOf(keeper.call(api.stocktakes.get, { params: { id: newId() } }))).status,
    ).toBe(404);
  });

  test('lists its lines in walking order, page by page, and by state', async () => {
    const lines = [];
    let after: string | undefined;
    do {
      const page = await keeper.call(api.stocktakes.lines, {
        params: { id },
        query: { limit: 2, ...(after ? { after } : {}) },
      });
      lines.push(...page.rows);
      after = page.next ?? undefined;
    } while (after !== undefined);
    // Positions were numbered against the walk; the unknown code was found in the last but first.
    expect(lines.map((l) => l.line.code)).toEqual([
      '=1+1',
      ...[7, 6, 5, 4, 3, 2, 1, 0].map(makeCaskCode),
    ]);
    const inState = async (state: 'twice' | 'damaged' | 'misplaced' | 'expected') =>
      (await keeper.call(api.stocktakes.lines, { params: { id }, query: { state } })).rows.map(
        (r) => r.line.code,
      );
    expect(await inState('twice')).toEqual([1, 0].map(makeCaskCode));
    expect(await inState('damaged')).toEqual([makeCaskCode(1)]);
    expect(await inState('expected')).toEqual([7, 6, 5].map(makeCaskCode));
    const [misplaced] = (
      await keeper.call(api.stocktakes.lines, { params: { id }, query: { state: 'misplaced' } })
    ).rows;
    expect(misplaced?.expectedPositionCode).not.toBe(misplaced?.foundPositionCode);
    expect(misplaced?.caskLine).toBe('barrel, Quercus alba');
  });

  test('is signed by a second person once everything is settled, and the sheet is kept', async () => {
    const sign = act('stocktake.sign', { stocktakeId: id, statement: 'Counted and agreed' });
    const second = await server.as('keep');
    expect((await problemOf(second.call(api.journal.submit, { body: sign }))).type).toBe(
      '/problems/stocktake-unresolved',
    );
    const open = (await keeper.call(api.stocktakes.lines, { params: { id } })).rows.filter(
      (r) => r.line.state !== 'found',
    );
    await doActs(keeper, [
      act('stocktake.reconcile', {
        stocktakeId: id,
        resolutions: open.map(({ line }) => ({
          lineId: line.id,
          resolution:
            line.state === 'misplaced'
              ? 'move-to-found'
              : line.state === 'unknown'
                ? 'note-unknown'
                : 'leave-as-book',
          reason: 'looked again',
        })),
      }),
    ]);
    const card = await keeper.call(api.casks.card, { params: { id: cask(4) } });
    expect(card.position?.id).toBe(place(8));
    expect((await keeper.call(api.stocktakes.get, { params: { id } })).tally).toMatchObject({
      missing: 3,
      stillToFind: 0,
    });
    await doActs(second, [sign]);
    expect((await keeper.call(api.stocktakes.get, { params: { id } })).stocktake.status).toBe(
      'signed',
    );
    const late = await problemOf(operative.call(api.journal.submit, { body: count(5, 5) }));
    expect(late).toMatchObject({ status: 409, type: '/problems/stocktake-closed' });

    const sheet = await keeper.file(api.stocktakes.sheet, { params: { id } });
    expect(sheet.fileName).toBe('stock-take-ST-2026-1.csv');
    const { data } = Papa.parse<Record<string, string>>(Buffer.from(sheet.bytes).toString(), {
      header: true,
      skipEmptyLines: true,
    });
    expect(data).toHaveLength(CASKS + 1);
    expect(data[0]).toMatchObject({
      cask: "'=1+1",
      state: 'unknown',
      resolution: 'note-unknown: looked again',
    });
  });
});
