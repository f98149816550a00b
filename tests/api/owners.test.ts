/** What owners have lying here: statements that add up, customers told from one's own, files. */
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import type { Client } from '@rundlet/client';
import { api } from '@rundlet/contracts';
import Papa from 'papaparse';
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

describe.each(databases)('owners on %s', (kind) => {
  let server: TestServer;
  let keeper: Client;
  let estate: SmallEstate;
  const customer = newId();
  const on = (date: string) => ({ happenedAt: `${date}T10:00:00.000Z` });
  beforeAll(async () => {
    server = await startServer(kind);
    keeper = await server.as('keep');
    estate = await layDownSmallEstate(keeper);
    const [first = '', second = ''] = estate.caskIds;
    const sample = (caskId: string, number: number, date: string) =>
      act(
        'cask.sample',
        {
          caskId,
          sampleId: newId(),
          code: sampleCode(number),
          bulkLitresAt20C: 0.5,
          purpose: 'nosing',
        },
        on(date),
      );
    const gauge = (caskId: string, litres: number, date: string) =>
      act(
        'cask.gauge',
        {
          caskId,
          readings: { method: 'declared', bulkLitresAt20C: litres, strengthPercentVol: 63 },
        },
        on(date),
      );
    await doActs(keeper, [
      act(
        'account.register',
        { id: customer, code: 'CUST', name: '=Cellars', kind: 'customer', remark: null },
        on('2020-05-10'),
      ),
      // Drawn and lost before the owner had the cask: not in the owner's account.
      sample(first, 1, '2020-06-01'),
      gauge(first, 198, '2020-06-02'),
      act('cask.change-owner', { caskId: first, accountId: customer }, on('2020-07-01')),
      sample(first, 2, '2021-06-01'),
      gauge(first, 190, '2021-06-02'),
      sample(second, 3, '2021-06-01'),
    ]);
  });
  afterAll(() => server.stop());

  test('customers’ stock is told from one’s own, and together they are all there is', async () => {
    const { rows } = await keeper.call(api.owners.list);
    expect(rows.map((row) => [row.account.kind, row.casks])).toEqual([
      ['customer', 1],
      ['own', 2],
    ]);
    const { holdsNowLitresPureAlcohol } = await keeper.call(api.books.months, {
      query: { from: '2020-05', to: '2020-05' },
    });
    const held = rows.reduce(
      (sum, row) => sum + row.casksLitresPureAlcohol + row.vatsLitresPureAlcohol,
      0,
    );
    expect(held).toBeCloseTo(holdsNowLitresPureAlcohol, 6);
  });

  test('a statement adds up from the day the cask came to the owner', async () => {
    const { account, casks, vats } = await keeper.call(api.owners.statement, {
      params: { id: customer },
    });
    expect(account.code).toBe('CUST');
    expect(vats).toEqual([]);
    const [cask, ...more] = casks;
    expect(more).toEqual([]);
    expect(cask?.heldSince).toBe('2020-07-01T10:00:00.000Z');
    expect(cask?.takenOverLitresPureAlcohol).toBeCloseTo(198 * 0.63, 3);
    expect(cask?.samplesLitresPureAlcohol).toBeCloseTo(0.5 * 0.63, 3);
    expect(cask?.lostLitresPureAlcohol).toBeCloseTo(197.5 * 0.63 - 190 * 0.63, 3);
    expect(cask?.nowLitresPureAlcohol).toBeCloseTo(190 * 0.63, 3);
    const { casks: own } = await keeper.call(api.owners.statement, {
      params: { id: estate.accountId },
    });
    for (const c of [...casks, ...own])
      expect(
        c.takenOverLitresPureAlcohol +
          c.movedLitresPureAlcohol -
          c.samplesLitresPureAlcohol -
          c.lostLitresPureAlcohol,
      ).toBeCloseTo(c.nowLitresPureAlcohol, 9);
    expect(own.map((c) => c.heldSince)).toEqual(own.map((c) => c.filledAt));
    expect(
      (await problemOf(keeper.call(api.owners.statement, { params: { id: newId() } }))).status,
    ).toBe(404);
  });

  test('each cask is forecast to today, with its interval, and all of them together', async () => {
    const ask = () => keeper.call(api.owners.forecastSoon, { params: { id: estate.accountId } });
    await expect.poll(async () => (await ask()).answer, { timeout: 60_000 }).not.toBeNull();
    const { answer } = await ask();
    expect(answer?.casks).toHaveLength(2);
    const sum = answer?.casks.reduce((total, c) => total + c.litresPureAlcohol.q50, 0) ?? 0;
    expect(Math.abs((answer?.total?.q50 ?? 0) / sum - 1)).toBeLessThan(0.02);
    for (const { litresPureAlcohol: q } of answer?.casks ?? []) {
      expect(q.q05).toBeLessThan(q.q50);
      expect(q.q50).toBeLessThan(q.q95);
    }
  });

  test('the statement is a CSV whose text is no formula, and a PDF', async () => {
    const csv = await keeper.file(api.owners.statementCsv, { params: { id: customer } });
    const { data } = Papa.parse<Record<string, string>>(new TextDecoder().decode(csv.bytes), {
      header: true,
      skipEmptyLines: true,
    });
    expect(data).toHaveLength(2);
    expect(Number(data[0]?.['By last gauge'])).toBeCloseTo(190 * 0.63, 3);
    expect(Number(data[1]?.['By last gauge'])).toBeCloseTo(190 * 0.63, 3);
    const returned = await keeper.file(api.books.returnCsv, {
      query: { from: '2020-07', to: '2020-07' },
    });
    expect(new TextDecoder().decode(returned.bytes)).toContain("'=Cellars");
    const pdf = await keeper.file(api.owners.statementPdf, { params: { id: customer } });
    expect(new TextDecoder().decode(pdf.bytes.slice(0, 5))).toBe('%PDF-');
  });

  test('a statement lists what left in its period, and what was taken back did not leave', async () => {
    const [, second = '', third = ''] = estate.caskIds;
    const give = (caskId: string, date: string) =>
      act('cask.change-owner', { caskId, accountId: customer }, on(date));
    const mistake = give(third, '2021-08-02');
    // Many at once, an entry each; one that is refused holds up no other.
    const { results } = await keeper.call(api.journal.submitMany, {
      body: { acts: [give(second, '2021-08-01'), give(newId(), '2021-08-01'), mistake] },
    });
    expect(results.map(({ status }) => status)).toEqual(['applied', 'refused', 'applied']);
    await doActs(keeper, [act('entry.reverse', { entryId: mistake.id, reason: 'The wrong cask' })]);
    const of = (id: string, query: { from: string; to: string }) =>
      keeper.call(api.owners.statement, { params: { id }, query });
    const { left, period } = await of(estate.accountId, { from: '2021-08-01', to: '2021-08-01' });
    expect(period).toEqual({ from: '2021-08-01', to: '2021-08-01' });
    expect(left).toMatchObject([{ cause: 'ownership', at: '2021-08-01T10:00:00.000Z' }]);
    // Filled with 200 L at 63.5 % vol, and half a litre drawn for a sample.
    expect(left[0]?.litresPureAlcohol).toBeCloseTo(199.5 * 0.635, 2);
    const csv = await keeper.file(api.owners.statementCsv, {
      params: { id: estate.accountId },
      query: period,
    });
    const { data } = Papa.parse<Record<string, string>>(new TextDecoder().decode(csv.bytes), {
      header: true,
      skipEmptyLines: true,
    });
    const lines = data.filter((row) => row['Table']?.startsWith('Left from 2021-08-01'));
    expect(lines).toMatchObject([{ On: '2021-08-01', Entry: left[0]?.words, Cask: '' }]);
    expect(Number(lines[0]?.['Left'])).toBeCloseTo(199.5 * 0.635, 2);
    expect(left[0]?.words).toContain('Cellars');
    const year = await of(estate.accountId, { from: '2020-01-01', to: '2021-12-31' });
    expect(year.left.map(({ at }) => at.slice(0, 10))).toEqual(['2020-07-01', '2021-08-01']);
    expect((await of(customer, { from: '2020-01-01', to: '2021-12-31' })).left).toEqual([]);
  });
});
