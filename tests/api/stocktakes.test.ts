import { spawnSync } from 'node:child_process';
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

/** What Ghostscript reads in a PDF; null, said loudly, where it is not installed. */
function textOf(pdf: Buffer): string | null {
  const run = spawnSync('gs', ['-q', '-sDEVICE=txtwrite', '-o', '-', '-'], {
    input: pdf,
    encoding: 'utf8',
  });
  if (run.error) {
    console.warn('Ghostscript is not installed: the text of the PDF sheet was not checked.');
    return null;
  }
  return run.stdout;
}

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
      left: 0,
      extra: 0,
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

  test('says where the count stands, row by row, place by place and by whom', async () => {
    const progress = await keeper.call(api.stocktakes.progress, { params: { id } });
    expect(
      progress.rows.map(({ row, expected, seen, differences }) => [
        row,
        expected,
        seen,
        differences,
      ]),
    ).toEqual([
      // The walk begins at the far end: row B first, where the unknown code was found.
      ['B', 4, 2, 1],
      ['A', 4, 3, 1],
    ]);
    expect(progress.unsettled).toBe(5);
    expect(progress.counters.map(({ casks }) => casks)).toEqual([6]);
    const stateAt = new Map(progress.places.map((p) => [p.positionId, p.state]));
    expect([0, 4, 8, 9, 5].map((i) => stateAt.get(place(i)))).toEqual([
      'seen',
      'difference',
      'difference',
      'difference',
      'to-find',
    ]);
    expect(progress.sample).toBeNull();
  });

  test('asks for a recount, which a device takes along with the store', async () => {
    await doActs(keeper, [
      act('stocktake.recount', { stocktakeId: id, lineIds: [], reason: 'before we settle' }),
    ]);
    const { recount } = await keeper.call(api.stocktakes.progress, { params: { id } });
    expect(recount.map(({ code }) => code)).toEqual(['=1+1', ...[4, 7, 6, 5].map(makeCaskCode)]);
    const snapshot = await operative.call(api.casks.aisle, { params: { id: estate.storeId } });
    expect(snapshot.stocktakes[0]?.recount).toHaveLength(5);
    expect(snapshot.stocktakes[0]?.caskIds).toBeNull();
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

  test('gives the signed sheet as PDF, with every line and both names', async () => {
    const sheet = await keeper.file(api.stocktakes.sheetPdf, { params: { id } });
    expect(sheet.fileName).toBe('stock-take-ST-2026-1.pdf');
    const text = textOf(Buffer.from(sheet.bytes));
    if (text === null) return;
    expect(text).toContain('Counted and agreed');
    expect(text).toContain('8 expected');
    for (let i = 0; i < CASKS; i++) expect(text).toContain(makeCaskCode(i));
    expect(text).toMatch(/page 1 of \d/);
  });

  test('keeps how right the book was, zone by zone', async () => {
    const { rows } = await keeper.call(api.stocktakes.accuracy);
    expect(rows).toHaveLength(1);
    expect(rows[0]).toMatchObject({
      code: 'ST-2026/1',
      zoneName: 'Ground floor',
      expected: CASKS,
      right: 4,
      misplaced: 1,
      missing: 3,
    });
  });

  test('a sample says what it can about all casks, once all drawn have been looked at', async () => {
    const sampleId = newId();
    const sample = { casks: 4, seed: 'drawn in front of two' };
    await doActs(keeper, [
      act('stocktake.open', {
        id: sampleId,
        code: 'ST-2026/2',
        title: 'Sample',
        blind: true,
        scope: { storeId: estate.storeId, zoneIds: [], rows: [], sample },
      }),
    ]);
    const lines = (await keeper.call(api.stocktakes.lines, { params: { id: sampleId } })).rows;
    expect(lines).toHaveLength(4);
    const [first, ...others] = lines;
    const see = ({ line }: (typeof lines)[number]) =>
      act('stocktake.count', {
        stocktakeId: sampleId,
        scanned: line.code,
        caskId: line.caskId,
        positionId: line.expectedPositionId,
        damagedLabel: false,
      });
    await doActs(operative, others.map(see));
    const progress = () => keeper.call(api.stocktakes.progress, { params: { id: sampleId } });
    expect((await progress()).sample).toMatchObject({ settled: 3, mostWrong: null });
    if (first) await doActs(operative, [see(first)]);
    // Of 8, 4 drawn and all right: 3 wrong would be missed by C(5,4)/C(8,4) = 5/70 of samples, 4 by 1/70.
    expect((await progress()).sample).toMatchObject({ population: 8, wrong: 0, mostWrong: 3 });
    await doActs(keeper, [
      act('stocktake.abandon', { stocktakeId: sampleId, reason: 'enough was seen' }),
    ]);
  });
});
