/** Terms, allowances, duty and closed months of the alcohol account; the return as a file. */
import { strFromU8, unzipSync } from 'fflate';
import Papa from 'papaparse';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import type { Client } from '@rundlet/client';
import { api, type AccountTerms } from '@rundlet/contracts';
import { proofGallonsFromLitresPureAlcohol } from '@rundlet/alcoholometry';
import { databases } from '../support/database.ts';
import { like, saying } from '../support/matchers.ts';
import {
  act,
  doActs,
  layDownSmallEstate,
  newId,
  sampleCode,
  type SmallEstate,
} from '../support/small-estate.ts';
import { problemOf, startServer, type TestServer } from '../support/server.ts';

const TERMS: AccountTerms = {
  unit: 'litres-pure-alcohol',
  allowances: [
    { cause: 'gauge-difference', percent: 2.4, of: 'gauged-casks-a-year' },
    { cause: 'sample', percent: 0.1, of: 'filled' },
  ],
  duty: { currency: 'EUR', rate: 20, per: 'litre-pure-alcohol', strengthRounding: 'down-to-tenth' },
  reference: 'made up for the test',
};

describe.each(databases)('the alcohol account on %s', (kind) => {
  let server: TestServer;
  let keeper: Client;
  let administrator: Client;
  let estate: SmallEstate;
  const declared = (bulkLitresAt20C: number, strengthPercentVol: number) =>
    ({ method: 'declared', bulkLitresAt20C, strengthPercentVol }) as const;
  const on = (date: string) => ({ happenedAt: `${date}T10:00:00.000Z` });
  const close = (month: string) => act('account.close-month', { month }, on('2020-12-01'));
  const year = { from: '2020-05', to: '2020-12' };
  const sample = (date: string, number: number, bulkLitresAt20C = 0.5) =>
    act(
      'cask.sample',
      {
        caskId: estate.caskIds[0] ?? '',
        sampleId: newId(),
        code: sampleCode(number),
        bulkLitresAt20C,
        purpose: 'laboratory',
      },
      on(date),
    );
  const setTerms = (effectiveFrom: string, value: AccountTerms = TERMS) =>
    act('setting.set', { key: 'account.terms', value, effectiveFrom }, on('2020-06-01'));
  const closesOf = async () => (await keeper.call(api.books.months, { query: year })).closed;

  beforeAll(async () => {
    server = await startServer(kind);
    keeper = await server.as('keep');
    administrator = await server.as('administer');
    estate = await layDownSmallEstate(keeper);
    await doActs(administrator, [setTerms('2020-01-01')]);
    await doActs(keeper, [
      act(
        'cask.gauge',
        { caskId: estate.caskIds[0] ?? '', readings: declared(190, 63) },
        on('2020-06-10'),
      ),
      sample('2020-06-11', 1),
      act(
        'vat.deliver',
        { vatId: estate.vatId, bulkLitresAt20C: 100, to: 'A customer', kind: 'delivered' },
        on('2020-06-20'),
      ),
    ]);
  });
  afterAll(() => server.stop());

  test('losses stand against the allowances in force; what is above is told, and nothing where there is no rule', async () => {
    const { rows } = await keeper.call(api.books.months, {
      query: { from: '2020-06', to: '2020-06' },
    });
    const [june] = rows;
    const gauge = june?.losses.find((loss) => loss.rule.cause === 'gauge-difference');
    // 200 L of 63.5 % vol filled on 4 May, gauged on 10 June: 37 days.
    const base = (127 * 37) / 365.25;
    expect(gauge?.baseLitresPureAlcohol).toBeCloseTo(base, 3);
    expect(gauge?.allowedLitresPureAlcohol).toBeCloseTo(0.024 * base, 4);
    const lost = gauge?.lossLitresPureAlcohol ?? 0;
    expect(lost).toBeCloseTo(127 - 190 * 0.63, 3);
    expect(gauge?.aboveLitresPureAlcohol).toBeCloseTo(lost - 0.024 * base, 3);
    const samples = june?.losses.find((loss) => loss.rule.cause === 'sample');
    expect(samples?.baseLitresPureAlcohol).toBe(0);
    expect(samples?.aboveLitresPureAlcohol).toBeCloseTo(0.315, 3);
    expect(june?.losses.map((loss) => loss.rule.cause)).not.toContain('filling-difference');
    const may = await keeper.call(api.books.months, { query: { from: '2020-05', to: '2020-05' } });
    // What was filled into the three casks, though vat and casks together come to nothing.
    const filled = may.rows[0]?.losses.find((loss) => loss.rule.of === 'filled');
    expect(filled?.baseLitresPureAlcohol).toBeGreaterThan(370);
    const before = await keeper.call(api.books.months, {
      query: { from: '2019-12', to: '2019-12' },
    });
    expect(before.rows).toEqual([]);
  });

  test('a delivery is told with the duty it would owe, its strength rounded as the terms say; one taken back with a minus', async () => {
    const { rows } = await keeper.call(api.books.deliveries, { query: year });
    expect(rows.map((row) => row.to)).toEqual(['A customer']);
    expect(rows[0]?.bulkLitresAt20C).toBeCloseTo(100, 6);
    expect(rows[0]?.litresPureAlcohol).toBeCloseTo(63.5, 3);
    expect(rows[0]?.estimate).toMatchObject({ currency: 'EUR', termsFrom: '2020-01-01' });
    // 63.5 % vol by the book, but for what milligrams leave of it; not 63.4.
    expect(rows[0]?.estimate?.strengthPercentVol).toBe(63.5);
    expect(rows[0]?.estimate?.amount).toBeCloseTo(63.5 * 20, 3);
    const mistake = act(
      'vat.deliver',
      { vatId: estate.vatId, bulkLitresAt20C: 10, to: 'Nobody', kind: 'delivered' },
      on('2020-07-02'),
    );
    await doActs(keeper, [
      mistake,
      act('entry.reverse', { entryId: mistake.id, reason: 'not gone' }, on('2020-07-03')),
    ]);
    const july = await keeper.call(api.books.deliveries, {
      query: { from: '2020-07', to: '2020-07' },
    });
    expect(july.rows.map((row) => row.to)).toEqual(['Nobody', 'Nobody']);
    expect(july.rows.reduce((sum, row) => sum + row.bulkLitresAt20C, 0)).toBeCloseTo(0, 9);
    expect(july.rows.reduce((sum, row) => sum + (row.estimate?.amount ?? 0), 0)).toBeCloseTo(0, 9);
  });

  test('terms are kept with their days; only an administrator sets them, and wrong ones are refused at the field', async () => {
    expect(
      (await problemOf(keeper.call(api.journal.submit, { body: setTerms('2020-02-01') }))).status,
    ).toBe(403);
    const wrong = { ...TERMS, duty: { ...TERMS.duty, rate: -1 } } as AccountTerms;
    expect(
      await problemOf(
        administrator.call(api.journal.submit, { body: setTerms('2020-02-01', wrong) }),
      ),
    ).toMatchObject({ status: 422, errors: [{ pointer: '#/body/value/duty/rate' }] });
    await doActs(administrator, [setTerms('2021-01-01', { ...TERMS, duty: null })]);
    const { rows } = await keeper.call(api.books.terms);
    expect(rows.map((row) => row.effectiveFrom)).toEqual(['2021-01-01', '2020-01-01']);
  });

  test('months are closed in turn; a batch of them in one sending', async () => {
    const state = await keeper.call(api.books.state);
    expect(state).toMatchObject({ closedThrough: null, lastCloseEntryId: null, heldActs: 0 });
    expect(state.toClose.slice(0, 3)).toEqual(['2020-05', '2020-06', '2020-07']);
    const reader = await server.as('read');
    expect(
      (await problemOf(reader.call(api.journal.submit, { body: close('2020-05') }))).status,
    ).toBe(403);
    await doActs(keeper, [close('2020-05'), close('2020-06')]);
    expect(await closesOf()).toMatchObject([
      { month: '2020-05', closedBy: like(/^device/), journalHash: like(/^[0-9a-f]{64}$/) },
      { month: '2020-06' },
    ]);
    const { errors } = await problemOf(keeper.call(api.journal.submit, { body: close('2020-08') }));
    expect(errors).toMatchObject([
      { pointer: '#/body/month', detail: saying('2020-07 comes before') },
    ]);
  });

  test('what comes later for a closed month counts in the first open one, and ties on', async () => {
    const before = await keeper.call(api.books.months, {
      query: { from: '2020-05', to: '2020-06' },
    });
    await doActs(keeper, [sample('2020-06-15', 2, 2)]);
    const after = await keeper.call(api.books.months, {
      query: { from: '2020-05', to: '2020-07' },
    });
    expect(JSON.stringify(after.rows.filter((row) => row.month < '2020-07'))).toBe(
      JSON.stringify(before.rows),
    );
    const july = after.rows.find((row) => row.month === '2020-07');
    expect(july?.openingLitresPureAlcohol).toBe(before.rows.at(-1)?.closingLitresPureAlcohol);
    const samples = july?.movements.find((m) => m.cause === 'sample');
    expect(samples?.ofEarlierMonthsLitresPureAlcohol).toBe(samples?.litresPureAlcohol);
    const late = await keeper.call(api.books.postings, {
      query: { month: '2020-07', ofEarlierMonths: 'true' },
    });
    expect(late.rows).toMatchObject([
      { at: '2020-06-15T10:00:00.000Z', month: '2020-07', cause: 'sample' },
    ]);
    await doActs(keeper, [close('2020-07')]);
    const { holdsNowLitresPureAlcohol, rows } = await keeper.call(api.books.months, {
      query: year,
    });
    expect(rows.at(-1)?.closingLitresPureAlcohol).toBeCloseTo(holdsNowLitresPureAlcohol, 9);
  });

  test('only the last close can be taken back, and terms stand under closed months', async () => {
    const closes = await closesOf();
    const reverse = (entryId: string) =>
      act('entry.reverse', { entryId, reason: 'too early' }, on('2020-12-02'));
    const [first, , last] = closes.map((c) => c.entryId);
    expect(
      (await problemOf(keeper.call(api.journal.submit, { body: reverse(first ?? '') }))).type,
    ).toBe('/problems/later-entries-depend');
    expect(
      await problemOf(administrator.call(api.journal.submit, { body: setTerms('2020-07-31') })),
    ).toMatchObject({ status: 409, errors: [{ pointer: '#/body/effectiveFrom' }] });
    await doActs(keeper, [reverse(last ?? '')]);
    expect((await keeper.call(api.books.state)).closedThrough).toBe('2020-06');
    await doActs(keeper, [close('2020-07')]);
  });

  test('the return is a CSV, a workbook of numbers and a PDF, in either unit', async () => {
    const csv = async (unit: 'litres-pure-alcohol' | 'proof-gallons') => {
      const { bytes } = await keeper.file(api.books.returnCsv, { query: { ...year, unit } });
      const text = new TextDecoder().decode(bytes);
      return Papa.parse<Record<string, string>>(text, { header: true }).data[0] ?? {};
    };
    const may = await csv('litres-pure-alcohol');
    expect(may).toMatchObject({ Month: '2020-05', Account: 'Own stock', Store: 'Shore store' });
    expect(Number(may['Received, LPA'])).toBeCloseTo(1905, 3);
    const gallons = await csv('proof-gallons');
    expect(Number(gallons['Received, proof gal'])).toBeCloseTo(
      proofGallonsFromLitresPureAlcohol(Number(may['Received, LPA'])),
      6,
    );

    const { bytes } = await keeper.file(api.books.returnXlsx, { query: year });
    const files = unzipSync(new Uint8Array(bytes));
    const sheet = strFromU8(files['xl/worksheets/sheet2.xml'] ?? new Uint8Array());
    // ECMA-376 part 1, 18.3.1.4: a cell without a type is a number, `s` is shared text; 18.3.1.40: a formula is an element `f`.
    expect(sheet).toMatch(/<c r="A2" t="s">/);
    expect(Number(/<c r="E2" s="\d+"><v>([^<]*)</.exec(sheet)?.[1])).toBeCloseTo(1905, 3);
    expect(Object.values(files).some((file) => strFromU8(file).includes('<f>'))).toBe(false);

    const pdf = await keeper.file(api.books.returnPdf, { query: year });
    expect(new TextDecoder().decode(pdf.bytes.slice(0, 5))).toBe('%PDF-');
  });
});
