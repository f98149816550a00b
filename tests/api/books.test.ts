import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import type { Client } from '@rundlet/client';
import { api, RECORDS, VerifyReport, type RecordKind } from '@rundlet/contracts';
import sql, { raw } from 'sql-template-tag';
import { Reader } from '../../apps/server/src/database/reader.ts';
import { stateTableOf } from '../../apps/server/src/database/state-tables.ts';
import { UnitOfWork } from '../../apps/server/src/database/unit-of-work.ts';
import { having, like, saying } from '../support/matchers.ts';
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

describe.each(databases)('the books on %s', (kind) => {
  let server: TestServer;
  let keeper: Client;
  let estate: SmallEstate;
  const declared = (bulkLitresAt20C: number, strengthPercentVol: number) =>
    ({ method: 'declared', bulkLitresAt20C, strengthPercentVol }) as const;
  beforeAll(async () => {
    server = await startServer(kind);
    keeper = await server.as('keep');
    estate = await layDownSmallEstate(keeper);
    const [first = '', second = ''] = estate.caskIds;
    await doActs(keeper, [
      act(
        'cask.gauge',
        { caskId: first, readings: declared(195, 63) },
        { happenedAt: '2020-07-10T10:00:00.000Z' },
      ),
      act(
        'cask.sample',
        {
          caskId: first,
          sampleId: newId(),
          code: sampleCode(1),
          bulkLitresAt20C: 0.5,
          purpose: 'laboratory',
        },
        { happenedAt: '2020-07-11T10:00:00.000Z' },
      ),
      act(
        'cask.disgorge',
        {
          caskId: second,
          vatId: estate.vatId,
          readings: declared(198, 63.2),
          bulkLitresAt20C: null,
          planId: null,
        },
        { happenedAt: '2020-08-02T10:00:00.000Z' },
      ),
      act(
        'vat.deliver',
        { vatId: estate.vatId, bulkLitresAt20C: 500, to: 'A customer', kind: 'delivered' },
        { happenedAt: '2020-08-20T10:00:00.000Z' },
      ),
    ]);
  });
  afterAll(() => server.stop());

  test('each month opens with what the one before closed with, and closes with what moved', async () => {
    const { rows, holdsNowLitresPureAlcohol } = await keeper.call(api.books.months, {
      query: { from: '2020-05', to: '2020-09' },
    });
    expect(rows.map((r) => r.month)).toEqual([
      '2020-05',
      '2020-06',
      '2020-07',
      '2020-08',
      '2020-09',
    ]);
    let opening = 0;
    for (const row of rows) {
      expect(row.openingLitresPureAlcohol).toBeCloseTo(opening, 9);
      const moved = row.movements.reduce((sum, m) => sum + m.litresPureAlcohol, 0);
      expect(row.closingLitresPureAlcohol).toBeCloseTo(opening + moved, 9);
      opening = row.closingLitresPureAlcohol;
    }
    expect(opening).toBeCloseTo(holdsNowLitresPureAlcohol, 9);
    const movement = (month: string, cause: string) =>
      rows.find((r) => r.month === month)?.movements.find((m) => m.cause === cause);
    expect(movement('2020-05', 'received')?.litresPureAlcohol).toBeCloseTo(1905, 3);
    // What goes into casks comes out of the vat.
    expect(movement('2020-05', 'filled')).toMatchObject({ entries: 3 });
    expect(movement('2020-05', 'filled')?.litresPureAlcohol).toBeCloseTo(0, 9);
    expect(movement('2020-07', 'gauge-difference')?.litresPureAlcohol).toBeCloseTo(
      195 * 0.63 - 127,
      3,
    );
    expect(movement('2020-07', 'sample')?.litresPureAlcohol).toBeCloseTo(-0.315, 4);
    expect(movement('2020-08', 'delivered')?.litresPureAlcohol).toBeLessThan(-300);
    expect(rows.find((r) => r.month === '2020-06')?.movements).toEqual([]);
  });

  test('the account ties to what the vessels hold', async () => {
    const { holdsNowLitresPureAlcohol } = await keeper.call(api.books.months, {
      query: { from: '2020-05', to: '2020-05' },
    });
    const overview = await keeper.call(api.places.overview);
    const vats = await keeper.call(api.places.vats);
    const held =
      overview.stock.litresPureAlcohol +
      vats.rows.reduce((sum, v) => sum + v.vat.figures.litresPureAlcohol, 0);
    expect(holdsNowLitresPureAlcohol).toBeCloseTo(held, 6);
  });

  test('one owner’s or every customer’s stock is told apart from one’s own', async () => {
    const query = { from: '2020-05', to: '2020-05' };
    const own = await keeper.call(api.books.months, { query: { ...query, accountKind: 'own' } });
    expect(own.rows).toHaveLength(1);
    const theirs = await keeper.call(api.books.months, {
      query: { ...query, accountKind: 'customer' },
    });
    expect(theirs).toEqual({ rows: [], closed: [], holdsNowLitresPureAlcohol: 0 });
  });

  test('a later opening sums what came before; another account has nothing', async () => {
    const { rows } = await keeper.call(api.books.months, {
      query: { from: '2020-08', to: '2020-08', accountId: estate.accountId },
    });
    const july = await keeper.call(api.books.months, {
      query: { from: '2020-07', to: '2020-07', storeId: estate.storeId },
    });
    expect(rows[0]?.openingLitresPureAlcohol).toBeCloseTo(
      july.rows[0]?.closingLitresPureAlcohol ?? 0,
      9,
    );
    expect(
      await keeper.call(api.books.months, {
        query: { from: '2020-05', to: '2020-09', accountId: newId() },
      }),
    ).toEqual({ rows: [], closed: [], holdsNowLitresPureAlcohol: 0 });
  });

  test('months the wrong way round are refused', async () => {
    const problem = await problemOf(
      keeper.call(api.books.months, { query: { from: '2020-09', to: '2020-05' } }),
    );
    expect(problem).toMatchObject({ status: 400, errors: [{ pointer: '#/query/to' }] });
    expect(
      (
        await problemOf(
          keeper.call(api.books.months, { query: { from: '2020-13', to: '2020-05' } }),
        )
      ).status,
    ).toBe(400);
  });

  test('each figure opens the entries behind it, in words', async () => {
    const { rows } = await keeper.call(api.books.postings, {
      query: { month: '2020-07', cause: 'gauge-difference' },
    });
    expect(rows).toMatchObject([
      {
        vesselKind: 'cask',
        vesselCode: like(/^C\w{7}$/),
        words: saying('gauged by declared'),
      },
    ]);
    expect(rows[0]?.litresPureAlcohol).toBeCloseTo(195 * 0.63 - 127, 3);
    const filled = await keeper.call(api.books.postings, {
      query: { month: '2020-05', cause: 'filled', storeId: estate.storeId },
    });
    expect(filled.rows).toHaveLength(6);
  });

  test('every stored record is as its contract says, and the columns beside it say the same', async () => {
    const reader = server.app.get(Reader);
    let seen = 0;
    for (const recordKind of Object.keys(RECORDS) as RecordKind[]) {
      const table = stateTableOf(recordKind);
      for (const row of await reader.all<Record<string, unknown>>(
        sql`SELECT * FROM ${raw(`"${table.name}"`)}`,
      )) {
        const record = RECORDS[recordKind].parse(JSON.parse(String(row['record'])));
        for (const [column, { of }] of Object.entries(table.fields)) {
          const value = of(record);
          expect(row[column], `${recordKind}.${column}`).toEqual(
            typeof value === 'boolean' && kind === 'file' ? Number(value) : value,
          );
        }
        seen += 1;
      }
    }
    expect(seen).toBeGreaterThan(40);
  });

  test('verification folds the journal again, and finds what somebody changed by hand', async () => {
    const verify = async () => {
      const { jobId } = await keeper.call(api.journal.verify);
      for (;;) {
        const job = await keeper.call(api.jobs.get, { params: { id: jobId } });
        if (job.status === 'done') return VerifyReport.parse(job.result);
        if (job.status === 'failed') throw new Error(job.error ?? 'failed');
        await new Promise((resolve) => setTimeout(resolve, 50));
      }
    };
    const report = await verify();
    expect(report.failures).toEqual([]);
    expect(report).toMatchObject({ ok: true, conservation: { differenceMg: 0 } });
    expect(report.entries).toBe((await keeper.call(api.places.overview)).journalEntries);

    const [first = ''] = estate.fillingIds;
    await server.app.get(UnitOfWork).write(async (tx) => {
      const row = await tx.one<{ record: string }>(
        sql`SELECT "record" FROM "filling" WHERE "id" = ${first}`,
      );
      await tx.run(
        sql`UPDATE "filling" SET "record" = ${row?.record.replace('"fillNumber":1', '"fillNumber":2')} WHERE "id" = ${first}`,
      );
    });
    const tampered = await verify();
    expect(tampered.ok).toBe(false);
    expect(tampered.failures).toContainEqual(having({ record: `filling:${first}` }));
  });
});
