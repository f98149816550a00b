import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import type { Client } from '@rundlet/client';
import { api, type CaskQuery, type CaskRow } from '@rundlet/contracts';
import { checkCode, makeCaskCode, makeCode } from '@rundlet/identifiers';
import { aText } from '../support/matchers.ts';
import { databases } from '../support/database.ts';
import {
  act,
  doActs,
  layDownSmallEstate,
  newId,
  sampleCode,
  type SmallEstate,
} from '../support/small-estate.ts';
import { problemOf, startServer, type TestServer } from '../support/server.ts';

const CASKS = 9;

describe.each(databases)('casks on %s', (kind) => {
  let server: TestServer;
  let estate: SmallEstate;
  let keeper: Client;
  const cask = (i: number): string => estate.caskIds[i] ?? '';
  beforeAll(async () => {
    server = await startServer(kind);
    keeper = await server.as('keep');
    estate = await layDownSmallEstate(keeper, { casks: CASKS });
    // Each filled cask is gauged at other figures, so that no two sort alike; the first is sampled too.
    await doActs(keeper, [
      act(
        'cask.sample',
        {
          caskId: cask(0),
          sampleId: newId(),
          code: sampleCode(7),
          bulkLitresAt20C: 2,
          purpose: 'nosing',
        },
        { happenedAt: '2021-05-04T10:00:00.000Z' },
      ),
      ...estate.fillingIds.map((_, i) =>
        act(
          'cask.gauge',
          {
            caskId: cask(i),
            readings: {
              method: 'declared',
              bulkLitresAt20C: 190 - ((i * 3) % 8),
              strengthPercentVol: 60 + ((i * 5) % 8) / 4,
            },
          },
          { happenedAt: `2024-0${String(((i * 7) % 8) + 1)}-01T10:00:00.000Z` },
        ),
      ),
    ]);
  });
  afterAll(() => server.stop());

  async function whole(query: Partial<CaskQuery>, limit: number): Promise<CaskRow[]> {
    const rows: CaskRow[] = [];
    let after: string | undefined;
    do {
      const page = await keeper.call(api.casks.list, {
        query: { ...query, limit, ...(after === undefined ? {} : { after }) },
      });
      expect(page.rows.length).toBeLessThanOrEqual(limit);
      rows.push(...page.rows);
      after = page.next ?? undefined;
    } while (after !== undefined);
    return rows;
  }

  const VALUE: Record<CaskQuery['sort'], (row: CaskRow) => string | number | null> = {
    code: (r) => r.code,
    filledAt: (r) => r.filledAt,
    strength: (r) => r.figures?.strengthPercentVol ?? null,
    litresPureAlcohol: (r) => r.figures?.litresPureAlcohol ?? null,
    lastGaugedAt: (r) => r.lastGaugedAt,
  };
  test.each(
    Object.keys(VALUE).flatMap((sort) => [
      [sort, 'asc'],
      [sort, 'desc'],
    ]) as [CaskQuery['sort'], 'asc' | 'desc'][],
  )('pages by %s %s hold each cask once, in order, empty ones last', async (sort, direction) => {
    const rows = await whole({ sort, direction }, 2);
    expect(rows.map((r) => r.id).sort()).toEqual([...estate.caskIds].sort());
    expect(rows).toEqual(await whole({ sort, direction }, 500));
    const values = rows.map(VALUE[sort]).filter((v) => v !== null);
    const sorted = [...values].sort((a, b) => (a < b ? -1 : a > b ? 1 : 0));
    expect(values).toEqual(direction === 'asc' ? sorted : sorted.reverse());
    if (sort !== 'code') expect(rows.at(-1)?.status).toBe('empty');
  });

  test('an asset identifier that GS1 would not allow is refused at its field', async () => {
    const { cask: other } = await keeper.call(api.casks.card, { params: { id: cask(0) } });
    const body = {
      id: newId(),
      code: makeCaskCode(70_000),
      cooperage: other.cooperage,
      geometry: other.geometry,
      capacityLitres: null,
      tareKg: null,
      // gcppos1 of the GS1 Barcode Syntax Dictionary: a key starts with its company prefix, so with digits.
      giai: 'ABC70000',
      aliases: [],
      earlierFillings: 0,
      positionId: null,
    };
    await expect(doActs(keeper, [act('cask.register', body)])).rejects.toThrow('/body/giai');
  });

  test('filters pick exactly the casks that meet them', async () => {
    const count = async (query: Partial<CaskQuery>) => (await whole(query, 100)).length;
    expect(await count({ status: 'empty' })).toBe(1);
    expect(await count({ status: 'filled', zoneId: estate.zoneId })).toBe(CASKS - 1);
    expect(await count({ woodSpecies: 'Quercus robur' })).toBe(4);
    expect(await count({ caskKind: 'barrel', previousContents: 'none' })).toBe(5);
    expect(await count({ caskKind: 'barrel', previousContents: 'none', sort: 'strength' })).toBe(5);
    expect(await count({ accountId: estate.accountId })).toBe(CASKS - 1);
    expect(await count({ accountId: newId() })).toBe(0);
    expect(await count({ spiritLotId: estate.lotId })).toBe(CASKS - 1);
    expect(await count({ filledFrom: '2020-05-04', filledTo: '2020-05-04' })).toBe(CASKS - 1);
    expect(await count({ filledTo: '2020-05-03' })).toBe(0);
    expect(await count({ fillNumber: 2 })).toBe(0);
    const strong = await whole({ strengthFrom: 61, sort: 'strength' }, 100);
    expect(strong.length).toBeGreaterThan(0);
    expect(strong.every((r) => (r.figures?.strengthPercentVol ?? 0) >= 61)).toBe(true);
    expect(await count({ search: 'c0000' })).toBe(CASKS);
    expect((await whole({ search: 'COOPER-000-3' }, 10)).map((r) => r.id)).toEqual([cask(3)]);
    expect(await count({ search: '100%_' })).toBe(0);
  });

  test('an unknown filter and a broken key are refused', async () => {
    const response = await fetch(`${server.base}/api/casks?wood=oak`);
    expect(response.status).toBe(401);
    expect(
      await problemOf(keeper.call(api.casks.list, { query: { wood: 'oak' } as never })),
    ).toMatchObject({ status: 400 });
    expect(
      await problemOf(keeper.call(api.casks.list, { query: { after: 'x', sort: 'strength' } })),
    ).toMatchObject({ status: 400, errors: [{ pointer: '#/query/after' }] });
  });

  test('facets list what occurs, each once', async () => {
    expect(await keeper.call(api.casks.facets)).toEqual({
      caskKinds: ['barrel', 'hogshead'],
      woodSpecies: ['Quercus alba', 'Quercus robur'],
      previousContents: ['none', 'wine'],
    });
  });

  test('the card shows the filling, its loss without what was drawn, and where it came from', async () => {
    const card = await keeper.call(api.casks.card, { params: { id: cask(0) } });
    expect(card.url).toBe(`HTTP://CASKS.HARROWPOINT.EXAMPLE/C/${makeCaskCode(0)}`);
    expect(card.filling?.id).toBe(estate.fillingIds[0]);
    expect(card.gauges).toHaveLength(1);
    expect(card.samples).toHaveLength(1);
    // 200 L in, 2 L sampled, 190 L gauged: 8 L went.
    expect(card.lossSinceFill?.bulkLitres).toBeCloseTo(8, 6);
    // 200 L at 63.5 % less 2 L at 63.5 % less 190 L at 60 %, in litres of pure alcohol.
    expect(card.lossSinceFill?.litresPureAlcohol).toBeCloseTo(127 - 1.27 - 114, 2);
    const years =
      (Date.parse('2024-01-01T10:00:00.000Z') - Date.parse('2020-05-04T10:00:00.000Z')) /
      86_400_000 /
      365.25;
    expect(card.lossSinceFill?.percentOfOriginalPerYear).toBeCloseTo(
      (11.73 / 127) * (100 / years),
      2,
    );
    expect(card.origins).toMatchObject({
      lots: [{ id: estate.lotId, share: 1, name: 'Spring run' }],
      harvests: [{ id: estate.harvestId, share: 1 }],
      plots: [{ id: estate.plotId, share: 1, name: 'Seaward orchard' }],
    });
    expect(card.history.map((h) => h.kind)).toEqual([
      'cask.gauge',
      'cask.sample',
      'cask.fill',
      'cask.register',
    ]);
    expect(card.position?.id).toBe(estate.positionIds[0]);
    const empty = await keeper.call(api.casks.card, { params: { id: cask(CASKS - 1) } });
    expect(empty).toMatchObject({
      filling: null,
      ageYears: null,
      lossSinceFill: null,
      origins: null,
      gauges: [],
    });
    expect((await problemOf(keeper.call(api.casks.card, { params: { id: newId() } }))).status).toBe(
      404,
    );
    expect(
      (await problemOf(keeper.call(api.casks.card, { params: { id: 'none' } }))).errors,
    ).toEqual([{ pointer: '#/params/id', detail: aText }]);
  });

  test('next codes follow the highest there is and carry check characters', async () => {
    const { caskCodes, sampleCodes } = await keeper.call(api.casks.nextCodes, {
      query: { count: 3 },
    });
    expect(caskCodes).toEqual([CASKS, CASKS + 1, CASKS + 2].map(makeCaskCode));
    expect(sampleCodes[0]).toBe(sampleCode(8));
    for (const code of caskCodes) expect(checkCode(code).status).toBe('ok');
  });

  describe('a scan', () => {
    const scan = (text: string) => keeper.call(api.casks.scan, { query: { text } });

    test.each([
      ['the code', (code: string) => code],
      [
        'the code in lower case with a hyphen',
        (code: string) => `${code.slice(0, 4)}-${code.slice(4)}`.toLowerCase(),
      ],
      ['the address on the label', (code: string) => `HTTP://CASKS.HARROWPOINT.EXAMPLE/C/${code}`],
      ['what a wedge scanner adds', (code: string) => `]Q3${code}\r\n`],
      ['a cooper’s number', () => 'COOPER-000-2'],
    ])('of %s finds the cask', async (_, text) => {
      const answer = await scan(text(makeCaskCode(2)));
      expect(answer).toMatchObject({ status: 'found', matches: [{ kind: 'cask', id: cask(2) }] });
      expect(answer.matches[0]?.line).toMatch(
        /^barrel, Quercus alba · filled 2020-05-04, \d+\.\d L at \d+\.\d % vol · at P/,
      );
    });

    test('of a position, a sample and a vat finds each', async () => {
      const position = await keeper.call(api.places.positions, { query: { limit: 1 } });
      expect(await scan(position.rows[0]?.code ?? '')).toMatchObject({
        status: 'found',
        matches: [{ kind: 'position' }],
      });
      expect(await scan(sampleCode(7))).toMatchObject({
        status: 'found',
        matches: [{ kind: 'sample' }],
      });
      expect(await scan(makeCode('vat', 0))).toMatchObject({
        status: 'found',
        matches: [{ kind: 'vat', id: estate.vatId }],
      });
    });

    test('of a misread code offers the nearest casks', async () => {
      const code = makeCaskCode(5);
      const misread = code.slice(0, 6) + (code[6] === '8' ? 'B' : '8') + code.slice(7);
      const answer = await scan(misread);
      expect(answer.status).toBe('wrong-check-character');
      expect(answer.matches).toEqual([]);
      expect(answer.nearest.map((n) => n.code)).toContain(code);
    });

    test('of a good code nobody has, and of anything else, says so', async () => {
      expect((await scan(makeCaskCode(400_000))).status).toBe('unknown');
      const other = await scan('a bottle of ink');
      expect(other.status).toBe('not-a-code');
      expect(other.message).toContain('a bottle of ink');
      expect((await scan('https://elsewhere.example/page')).message).toContain('elsewhere.example');
    });
  });

  test('the aisle holds the store, its places and casks, and the counts that are open', async () => {
    const stocktakeId = newId();
    await doActs(keeper, [
      act('stocktake.open', {
        id: stocktakeId,
        code: `AISLE-${kind.toUpperCase()}`,
        title: 'Spring count',
        blind: true,
        scope: { storeId: estate.storeId, zoneIds: [estate.zoneId], rows: [] },
      }),
    ]);
    const aisle = await keeper.call(api.casks.aisle, { params: { id: estate.storeId } });
    expect(aisle.casks.map((c) => c.id)).toEqual([...estate.caskIds]);
    expect(aisle.casks[0]).toMatchObject({
      aliases: ['COOPER-000-0'],
      status: 'filled',
      fillNumber: 1,
    });
    expect(aisle.positions).toHaveLength(estate.positionIds.length);
    expect(aisle.positions.map((p) => p.walkOrder)).toEqual(
      [...aisle.positions.map((p) => p.walkOrder)].sort((a, b) => a - b),
    );
    expect(aisle.stocktakes).toMatchObject([
      { id: stocktakeId, blind: true, zoneIds: [estate.zoneId] },
    ]);
  });
});
