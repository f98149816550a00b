import Papa from 'papaparse';
import { afterAll, afterEach, beforeAll, describe, expect, test, vi } from 'vitest';
import type { Client } from '@rundlet/client';
import { api, type ImportKind } from '@rundlet/contracts';
import { makeCaskCode, makePositionCode, makeVatCode } from '@rundlet/identifiers';
import { UnitOfWork } from '../../apps/server/src/database/unit-of-work.ts';
import { importCsv } from '../support/jobs.ts';
import { verifyDatabase } from '../../apps/server/src/journal/verification.ts';
import { PLAIN_BARREL } from '../support/plain-barrel.ts';
import { saying } from '../support/matchers.ts';
import { databases } from '../support/database.ts';
import {
  act,
  doActs,
  layDownSmallEstate,
  newId,
  type SmallEstate,
} from '../support/small-estate.ts';
import { problemOf, startServer, type TestServer } from '../support/server.ts';

const CASK =
  'kind,nominalLitres,woodSpecies,previousContents,bilgeDiameterMm,headDiameterMm,lengthMm';
const BARREL = 'barrel,200,Quercus alba,none,640,540,880';

const registered = (code: string) =>
  act('cask.register', {
    id: newId(),
    code,
    ...PLAIN_BARREL,
    capacityLitres: null,
    tareKg: null,
    giai: null,
    aliases: [],
    earlierFillings: 0,
    positionId: null,
  });

describe.each(databases)('imports on %s', (kind) => {
  let server: TestServer;
  let keeper: Client;
  let estate: SmallEstate;
  beforeAll(async () => {
    server = await startServer(kind);
    keeper = await server.as('keep');
    estate = await layDownSmallEstate(keeper);
  });
  afterAll(() => server.stop());

  const send = (importKind: ImportKind, csv: string, apply = true) =>
    importCsv(keeper, importKind, csv, apply);
  const journalLength = async () => (await keeper.call(api.places.overview)).journalEntries;

  test('a lineage comes in by its files, each looking up codes of the ones before', async () => {
    const files: [ImportKind, string][] = [
      [
        'plots',
        'code;name;areaHa;crop;variety;soil;plantedYear\nP-W;West slope;1.25;apple;Tern Russet;loam;2004\nP-E;East slope;2;apple;Skerry Pippin;;\n',
      ],
      [
        'harvest-lots',
        '\uFEFFcode,plot,harvestedOn,massKg,sugarPercentMass\nHL-W,P-W,2021-10-01,10000,14\nHL-E,P-E,2021-10-03,30000,14\n',
      ],
      [
        'ferments',
        'code,vessel,yeast,startedOn,endedOn,harvestLots,bulkLitresAt20C,strengthPercentVol\nFE-1,Tun 1,"house, third pitch",2021-10-04,2021-10-20,HL-W:10000; HL-E:30000,30000,7\n',
      ],
      [
        'still-runs',
        'code,still,ranOn,ferments,headsLitresAt20C,heartsLitresAt20C,heartsStrengthPercentVol,tailsLitresAt20C\nRUN-1,Pot 2,2021-11-02,FE-1:30000,40,2500,68,600\n',
      ],
      ['spirit-lots', 'code,name,stillRuns\nLOT-A,Autumn run,RUN-1\nLOT-B,Bought in,\n'],
    ];
    for (const [importKind, csv] of files) {
      const report = await send(importKind, csv);
      expect(report).toMatchObject({ errors: [], applied: true });
      expect(report.rowsGood).toBe(report.rowsRead);
    }
    const { rows } = await keeper.call(api.lineage.lots, {});
    const lot = rows.find((r) => r.code === 'LOT-A');
    const plots = await keeper.call(api.lineage.plots);
    // Equal sugar, so the ethanol is shared by mass: 10 t to 30 t.
    const west = plots.rows.find((p) => p.code === 'P-W')?.id ?? '';
    expect(lot?.plotShares[west]).toBeCloseTo(0.25, 12);
    expect(plots.rows.find((p) => p.code === 'P-E')).toMatchObject({
      soil: null,
      plantedYear: null,
    });
  });

  test('positions, casks and what is in them come in together, and the account opens with it', async () => {
    const vatId = newId();
    await doActs(keeper, [
      act('vat.register', {
        id: vatId,
        code: makeVatCode(900),
        name: 'Opening vat',
        storeId: estate.storeId,
        accountId: estate.accountId,
        capacityLitres: 1000,
      }),
    ]);
    const places = [5000, 5001].map(makePositionCode);
    expect(
      await send(
        'positions',
        `zone,code,row,bay,level,slot,walkOrder\nHP000-G,${places[0] ?? ''},C,1,1,1,5000\nHP000-G,${places[1] ?? ''},C,1,1,2,5001\n`,
      ),
    ).toMatchObject({ applied: true, rowsRead: 2 });
    const before = await keeper.call(api.books.months, {
      query: { from: '2015-01', to: '2026-12' },
    });
    const report = await send(
      'casks',
      `code,${CASK},aliases,position,filledAt,vat,spiritLot,bulkLitresAt20C,strengthPercentVol\n` +
        `${makeCaskCode(5000)},${BARREL},OLD-1;OWNER-7,${places[0] ?? ''},2015-06-01,${makeVatCode(900)},LOT-B,190.5,64.2\n` +
        `,${BARREL},OLD-2,${places[1] ?? ''},2016-06-01,${makeVatCode(900)},LOT-B,180,62\n` +
        `,${BARREL},,,,,,,\n`,
    );
    expect(report).toMatchObject({ rowsRead: 3, rowsGood: 3, errors: [], applied: true });
    const found = await keeper.call(api.casks.scan, { query: { text: 'OLD-2' } });
    const card = await keeper.call(api.casks.card, { params: { id: found.matches[0]?.id ?? '' } });
    expect(card.cask.code).toBe(makeCaskCode(5001));
    expect(card.filling?.fillFigures).toMatchObject({
      bulkLitresAt20C: 180,
      strengthPercentVol: 62,
    });
    expect(card.position?.code).toBe(places[1]);
    const vat = await keeper.call(api.places.vat, { params: { id: vatId } });
    expect(vat.vat.content).toEqual({ waterMg: 0, ethanolMgByLot: {} });
    const after = await keeper.call(api.books.months, {
      query: { from: '2015-01', to: '2026-12' },
    });
    expect(after.holdsNowLitresPureAlcohol - before.holdsNowLitresPureAlcohol).toBeCloseTo(
      190.5 * 0.642 + 180 * 0.62,
      3,
    );
  });

  test('one bad row and nothing is imported; every fault is told with its line and column', async () => {
    const entries = await journalLength();
    const csv =
      `code,${CASK},position,capacityLitres\n` +
      `${makeCaskCode(6000)},${BARREL},,\n` +
      `${makeCaskCode(0)},${BARREL},,\n` +
      `C0000000,"barrel\nof old",200,Quercus alba,none,640,540,880,,\n` +
      `${makeCaskCode(6001)},${BARREL},NOWHERE,\n` +
      `${makeCaskCode(6002)},barrel,200 L,Quercus alba,none,640,"540,5",880,,-3\n` +
      `${makeCaskCode(6003)},${BARREL}\n`;
    for (const apply of [false, true]) {
      const report = await send('casks', csv, apply);
      expect(report.applied).toBe(false);
      expect(report.errors.map(({ line, column }) => [line, column])).toEqual([
        [3, 'code'],
        [4, 'code'],
        [6, 'position'],
        [7, 'nominalLitres'],
        [7, 'headDiameterMm'],
        [8, null],
      ]);
      expect(report.errors[0]?.message).toContain('already a cask');
      expect(report.errors[3]?.message).toContain('“200 L” is not a number');
      expect(report.errors[4]?.message).toContain('decimal point as a dot');
    }
    expect(await journalLength()).toBe(entries);
    const lookedFor = await keeper.call(api.casks.list, { query: { search: makeCaskCode(6000) } });
    expect(lookedFor.rows).toEqual([]);
  });

  test('a wrong header says which columns there are', async () => {
    const report = await send('plots', 'code,name,area,crop,variety\nX,X,1,x,x\n');
    expect(report.errors).toEqual([
      { line: 1, column: 'area', message: saying('areaHa') },
      { line: 1, column: 'areaHa', message: saying('missing') },
    ]);
    expect(await send('plots', '\n\n')).toMatchObject({
      applied: false,
      rowsRead: 0,
      errors: [{ line: 1 }],
    });
  });

  test('a rehearsal of good rows writes nothing', async () => {
    const entries = await journalLength();
    expect(
      await send('plots', 'code,name,areaHa,crop,variety\nP-R,Rehearsed,1,apple,any\n', false),
    ).toMatchObject({ rowsGood: 1, errors: [], applied: false });
    expect(await journalLength()).toBe(entries);
  });

  test('a file of regauges sent twice is entered once', async () => {
    const csv =
      'cask,takenAt,method,liquidTemperatureC,hydrometerPercentVol,laboratoryPercentVol,wetDipMm,litres,bulkLitresAt20C,strengthPercentVol\n' +
      `${makeCaskCode(0)},2022-03-01,declared,,,,,,188,62.4\n` +
      'COOPER-000-1,2022-03-01T09:30:00Z,meter,15,,61.5,,185,,\n' +
      `${makeCaskCode(2)},2022-03-01,dip,14,62.1,,540,,,\n`;
    expect(await send('regauges', csv)).toMatchObject({ errors: [], applied: true, rowsGood: 3 });
    const entries = await journalLength();
    expect(await send('regauges', csv)).toMatchObject({ errors: [], applied: true, rowsGood: 3 });
    expect(await journalLength()).toBe(entries);
    const card = await keeper.call(api.casks.card, { params: { id: estate.caskIds[0] ?? '' } });
    expect(card.gauges).toMatchObject([
      { takenAt: '2022-03-01T12:00:00.000Z', figures: { bulkLitresAt20C: 188 } },
    ]);
    const faults = await send(
      'regauges',
      `cask,takenAt,method,liquidTemperatureC,wetDipMm\nNONE,2022-02-31,dip,15,500\n${makeCaskCode(0)},2019-01-01,weight,15,\n`,
    );
    expect(faults.errors.map(({ line, column }) => [line, column])).toEqual([
      [2, 'takenAt'],
      [2, 'cask'],
      [2, 'hydrometerPercentVol'],
      [3, 'hydrometerPercentVol'],
      [3, 'grossKg'],
      [3, 'tareKg'],
    ]);
  });

  let restore = (): void => undefined;
  afterEach(() => {
    restore();
  });
  /** Does something before the nth batch of an import is written; gives how many there have been. */
  const beforeBatch = (meddle: (nth: number) => Promise<unknown>) => {
    const unit = server.app.get(UnitOfWork);
    const whole = unit.write.bind(unit);
    const counted = { batches: 0 };
    let meddling = false;
    const spy = vi.spyOn(unit, 'write').mockImplementation(async (work, turn) => {
      if (turn === 'journal' && !meddling) {
        meddling = true;
        await meddle((counted.batches += 1)).finally(() => (meddling = false));
      }
      return whole(work, turn);
    });
    restore = () => {
      spy.mockRestore();
    };
    return counted;
  };

  test('others write while a file comes in; a row they came in the way of is left out whole', async () => {
    const first = 20_000;
    const rows = 1200;
    const vats = [901, 902].map((n) => ({ id: newId(), code: makeVatCode(n) }));
    await doActs(
      keeper,
      vats.map((vat) =>
        act('vat.register', {
          ...vat,
          name: 'Another opening vat',
          storeId: estate.storeId,
          accountId: estate.accountId,
          capacityLitres: 1000,
        }),
      ),
    );
    const filled = new Map([210, 700].map((row, i) => [row, vats[i]?.code ?? '']));
    const csv =
      `code,${CASK},filledAt,vat,spiritLot,bulkLitresAt20C,strengthPercentVol\n` +
      Array.from({ length: rows }, (_, i) => {
        const vat = filled.get(i);
        return `${makeCaskCode(first + i)},${BARREL},${vat ? `2016-06-01,${vat},LOT-B,180,62` : ',,,,'}\n`;
      }).join('');
    const { rows: lots } = await keeper.call(api.lineage.lots, {});
    const before = await journalLength();
    // After the file was found to be good: before its first rows are written somebody registers one of their codes, before the next
    // somebody fills a vat of theirs, and before the last somebody does what has nothing to do with them.
    const counted = beforeBatch(async (nth) => {
      if (nth === 1) await doActs(keeper, [registered(makeCaskCode(first + 210))]);
      if (nth === 3)
        await doActs(keeper, [
          act('spirit.receive', {
            vatId: vats[1]?.id ?? '',
            lotId: lots.find(({ code }) => code === 'LOT-B')?.id ?? '',
            readings: { method: 'declared', bulkLitresAt20C: 100, strengthPercentVol: 60 },
          }),
        ]);
      if (nth === 5)
        await doActs(keeper, [
          act('plot.record', {
            id: newId(),
            code: 'P-M',
            name: 'Meanwhile',
            areaHa: 1,
            soil: null,
            crop: 'apple',
            variety: 'any',
            plantedYear: null,
          }),
        ]);
    });
    const report = await send('casks', csv);
    // Three batches, of which two had to be decided again.
    expect(counted.batches).toBe(5);
    expect(report).toMatchObject({ applied: true, rowsRead: rows, rowsGood: rows - 2 });
    expect(report.errors).toEqual([
      { line: 212, column: 'code', message: saying('already a cask') },
      { line: 702, column: 'vat', message: saying('not empty') },
    ]);
    expect(await journalLength()).toBe(before + rows - 2 + 3);
  });

  test('a file that was cut off adds what is missing when it is sent again', async () => {
    const rows = 1200;
    const csv = `code,${CASK}\n${Array.from({ length: rows }, (_, i) => `${makeCaskCode(30_000 + i)},${BARREL}\n`).join('')}`;
    const before = await journalLength();
    beforeBatch(async (nth) => {
      if (nth === 2) throw new Error('the power went');
    });
    await expect(send('casks', csv)).rejects.toThrow('the power went');
    restore();
    expect(await journalLength()).toBe(before + 500);
    expect(await send('casks', csv)).toMatchObject({ applied: true, rowsGood: rows, errors: [] });
    expect(await journalLength()).toBe(before + rows);
    // Sent by mistake once more it adds nothing; with something changed in a row that row is refused.
    expect(await send('casks', csv)).toMatchObject({ applied: true, errors: [] });
    expect(await journalLength()).toBe(before + rows);
    const changed = csv.replace(
      `${makeCaskCode(30_007)},barrel`,
      `${makeCaskCode(30_007)},hogshead`,
    );
    expect(await send('casks', changed)).toMatchObject({
      applied: false,
      errors: [{ line: 9, column: 'code' }],
    });
    const sameCode = `code,${CASK}\n${`${makeCaskCode(32_000)},${BARREL}\n`.repeat(2)}`;
    expect(await send('casks', sameCode)).toMatchObject({
      applied: false,
      errors: [{ line: 3, column: 'code' }],
    });
  });

  test('exports hold every row, and no cell that a spreadsheet would run', async () => {
    await doActs(keeper, [
      act('cask.register', {
        id: newId(),
        code: makeCaskCode(7000),
        cooperage: {
          kind: '=HYPERLINK("http://elsewhere.example")',
          nominalLitres: 200,
          woodSpecies: '+oak',
          forest: null,
          seasoningMonths: null,
          toast: null,
          char: null,
          previousContents: '-2 wine',
          cooper: '@cooper',
          cooperLot: null,
        },
        geometry: {
          figure: 'spheroid',
          bilgeDiameterMm: 640,
          headDiameterMm: 540,
          lengthMm: 880,
          basis: 'assumed',
        },
        capacityLitres: null,
        tareKg: null,
        giai: null,
        aliases: [],
        earlierFillings: 0,
        positionId: null,
      }),
    ]);
    const reader = await server.as('read');
    const file = await reader.file(api.imports.exportCsv, { params: { kind: 'casks' } });
    expect(file).toMatchObject({ contentType: 'text/csv; charset=utf-8', fileName: 'casks.csv' });
    const { data } = Papa.parse<Record<string, string>>(Buffer.from(file.bytes).toString(), {
      header: true,
      skipEmptyLines: true,
    });
    const overview = await keeper.call(api.places.overview);
    expect(data).toHaveLength(overview.casksFilled + overview.casksEmpty);
    const hostile = data.find((row) => row['code'] === makeCaskCode(7000));
    expect(hostile).toMatchObject({
      kind: '\'=HYPERLINK("http://elsewhere.example")',
      woodSpecies: "'+oak",
      previousContents: "'-2 wine",
      cooper: "'@cooper",
    });
    for (const row of data)
      for (const cell of Object.values(row)) expect(cell).not.toMatch(/^[=+@]|^-(?!\d)/);

    const postings = await reader.file(api.imports.exportCsv, { params: { kind: 'postings' } });
    const lines = Papa.parse<Record<string, string>>(Buffer.from(postings.bytes).toString(), {
      header: true,
      skipEmptyLines: true,
    }).data;
    const sum = lines.reduce((s, row) => s + Number(row['litresPureAlcohol']), 0);
    const { holdsNowLitresPureAlcohol } = await keeper.call(api.books.months, {
      query: { from: '2026-01', to: '2026-01' },
    });
    expect(sum).toBeCloseTo(holdsNowLitresPureAlcohol, 6);
    for (const exported of ['gauges', 'positions'] as const)
      expect(
        (await reader.file(api.imports.exportCsv, { params: { kind: exported } })).bytes.byteLength,
      ).toBeGreaterThan(100);
  });

  test('what came in verifies like everything else', async () => {
    expect((await verifyDatabase(server.settings.databaseUrl)).failures).toEqual([]);
  });

  test('importing is for keepers', async () => {
    const operative = await server.as('warehouse');
    const call = operative.call(api.imports.importCsv, {
      params: { kind: 'plots' },
      body: { csv: 'code', apply: false },
    });
    expect((await problemOf(call)).status).toBe(403);
  });
});
