/** A cask released from duty suspension, through the API: account, estimate, lists, exports; and the migration that brought the word. */
import { api } from '@rundlet/contracts';
import Papa from 'papaparse';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import type { Client } from '@rundlet/client';
import { connect, disconnect } from '../../apps/server/src/database/data-source.ts';
import { TellDutyStatus1788000000000 } from '../../apps/server/src/database/migrations/1788000000000-tell-duty-status.ts';
import { MIGRATIONS } from '../../apps/server/src/database/migrations/index.ts';
import { verifyDatabase } from '../../apps/server/src/journal/verification.ts';
import { databases } from '../support/database.ts';
import { problemOf, startServer, type TestServer } from '../support/server.ts';
import { act, doActs, layDownSmallEstate, type SmallEstate } from '../support/small-estate.ts';

describe.each(databases)('duty status on %s', (kind) => {
  let server: TestServer;
  let keeper: Client;
  let estate: SmallEstate;
  let [released, other] = ['', ''];
  const on = (date: string) => ({ happenedAt: `${date}T10:00:00.000Z` });
  const june = { query: { from: '2020-06', to: '2020-06' } };

  beforeAll(async () => {
    server = await startServer(kind);
    keeper = await server.as('keep');
    estate = await layDownSmallEstate(keeper);
    [released = '', other = ''] = estate.caskIds;
    await doActs(await server.as('administer'), [
      act(
        'setting.set',
        {
          key: 'account.terms',
          effectiveFrom: '2020-01-01',
          value: {
            unit: 'litres-pure-alcohol',
            allowances: [],
            duty: {
              currency: 'EUR',
              rate: 20,
              per: 'litre-pure-alcohol',
              strengthRounding: 'down-to-tenth',
            },
            reference: 'made up for the test',
          },
        },
        on('2020-06-01'),
      ),
    ]);
    await doActs(keeper, [
      act('cask.release-duty', { caskId: released, reference: 'W-17/2020' }, on('2020-06-20')),
    ]);
  });
  afterAll(() => server.stop());

  test('the account holds as much less, and the delivery is told with the duty it would owe', async () => {
    const { rows, holdsNowLitresPureAlcohol } = await keeper.call(api.books.months, june);
    // 200 L of 63.5 % vol were filled: 127 L of pure alcohol.
    expect(rows[0]?.movements).toMatchObject([
      { cause: 'released', litresPureAlcohol: expect.closeTo(-127, 3) as number, entries: 1 },
    ]);
    expect(rows[0]?.closingLitresPureAlcohol).toBeCloseTo(holdsNowLitresPureAlcohol, 9);
    const { rows: deliveries } = await keeper.call(api.books.deliveries, june);
    expect(deliveries).toHaveLength(1);
    expect(deliveries[0]).toMatchObject({
      to: 'duty-paid in its cask, W-17/2020',
      estimate: { strengthPercentVol: 63.5, amount: expect.closeTo(127 * 20, 2) as number },
    });
    const { rows: lines } = await keeper.call(api.books.postings, {
      query: { month: '2020-06', cause: 'released' },
    });
    expect(lines.map((line) => line.words)).toEqual([
      expect.stringMatching(/released from duty suspension by W-17\/2020: 200.0 L .*127.00 LPA/),
    ]);
  });

  test('the list shows and finds it; the card and the exports say it', async () => {
    const { rows } = await keeper.call(api.casks.list, { query: { dutyStatus: 'paid' } });
    expect(rows.map(({ id, dutyStatus }) => [id, dutyStatus])).toEqual([[released, 'paid']]);
    const suspended = await keeper.call(api.casks.list, { query: { dutyStatus: 'suspended' } });
    expect(suspended.rows.map(({ id }) => id)).toContain(other);
    expect(suspended.rows.map(({ id }) => id)).not.toContain(released);
    const card = await keeper.call(api.casks.card, { params: { id: released } });
    expect(card.filling?.dutyStatus).toBe('paid');
    const table = async (of: 'casks' | 'postings') =>
      Papa.parse<Record<string, string>>(
        Buffer.from(
          (await keeper.file(api.imports.exportCsv, { params: { kind: of } })).bytes,
        ).toString(),
        { header: true, skipEmptyLines: true },
      ).data;
    expect((await table('casks')).map((row) => row['dutyStatus']).sort()).toEqual(
      ['', 'paid', ...estate.fillingIds.slice(1).map(() => 'suspended')].sort(),
    );
    const lines = (await table('postings')).filter((row) => row['cause'] === 'released');
    expect(lines.map((row) => [row['dutyStatus'], Math.sign(Number(row['ethanolMg']))])).toEqual([
      ['suspended', -1],
      ['paid', 1],
    ]);
  });

  test('what is not of one duty status is refused before anything is pumped, and only a keeper releases', async () => {
    const topUp = act(
      'cask.top-up',
      { caskId: other, source: { kind: 'cask', caskId: released }, bulkLitresAt20C: 1 },
      on('2020-07-01'),
    );
    expect(await problemOf(keeper.call(api.journal.submit, { body: topUp }))).toMatchObject({
      status: 409,
      type: expect.stringContaining('different-duty-status') as string,
    });
    const aisle = await server.as('warehouse');
    const release = act('cask.release-duty', { caskId: other, reference: 'W-18' });
    expect((await problemOf(aisle.call(api.journal.submit, { body: release }))).status).toBe(403);
  });

  test('an estate of an older program gets the word from its journal: the migration taken back and made again', async () => {
    const url = server.settings.databaseUrl;
    const connections = await connect(url);
    const since = MIGRATIONS.length - MIGRATIONS.indexOf(TellDutyStatus1788000000000);
    for (let left = since; left > 0; left--) await connections.writer.undoLastMigration();
    await connections.writer.runMigrations();
    await disconnect(connections);
    expect((await verifyDatabase(url)).failures).toEqual([]);
    const { rows } = await keeper.call(api.casks.list, { query: { dutyStatus: 'paid' } });
    expect(rows.map(({ id }) => id)).toEqual([released]);
    expect((await keeper.call(api.books.months, june)).rows[0]?.movements).toHaveLength(1);
  });
});
