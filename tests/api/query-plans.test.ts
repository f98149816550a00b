import { afterAll, beforeAll, expect, test, vi } from 'vitest';
import type { Client } from '@rundlet/client';
import { api, type CallOf, type Endpoint } from '@rundlet/contracts';
import { makeCaskCode } from '@rundlet/identifiers';
import sql, { raw, Sql } from 'sql-template-tag';
import { Reader } from '../../apps/server/src/database/reader.ts';
import { Rows } from '../../apps/server/src/database/rows.ts';
import { layDownSmallEstate, type SmallEstate } from '../support/small-estate.ts';
import { startServer, type TestServer } from '../support/server.ts';

/** Tables that grow with the estate's years; a list must never read one from end to end. */
const LARGE = [
  'cask',
  'filling',
  'gauge',
  'posting',
  'position',
  'filling_event',
  'stocktake_line',
  'journal_entry',
  'journal_subject',
  'filling_lot',
  'cask_alias',
  'stock_sum',
  'posting_sum',
];

let server: TestServer;
let reader: Client;
let estate: SmallEstate;
beforeAll(async () => {
  server = await startServer('file');
  reader = await server.as('keep');
  estate = await layDownSmallEstate(reader);
});
afterAll(() => server.stop());

/** What SQLite would do for every statement a call makes (https://sqlite.org/eqp.html). */
async function plansOf<E extends Endpoint>(endpoint: E, input: CallOf<E>): Promise<string[]> {
  const statements: Sql[] = [];
  const all = vi.spyOn(Rows.prototype, 'all').mockImplementation(function (this: Rows, s: Sql) {
    statements.push(s);
    return original.call(this, s);
  });
  await reader.call(endpoint, input);
  all.mockRestore();
  const plans: string[] = [];
  for (const { strings, values } of statements) {
    const rows = await server.app
      .get(Reader)
      .all<{ detail: string }>(
        new Sql([`EXPLAIN QUERY PLAN ${strings[0] ?? ''}`, ...strings.slice(1)], values),
      );
    plans.push(...rows.map((row) => row.detail));
  }
  return plans;
}
const original: Rows['all'] = Reflect.get(Rows.prototype, 'all');

/** Steps that read a large table from end to end. The journal in the order of its numbers is read up to the limit only. */
const scansIn = (plans: readonly string[]): string[] =>
  plans.filter((step) => {
    if (step === 'SCAN journal_entry' && !plans.some((s) => s.startsWith('USE TEMP B-TREE')))
      return false;
    const table = /^SCAN (\w+)/.exec(step)?.[1];
    const named = {
      c: 'cask',
      f: 'filling',
      p: 'position',
      l: 'stocktake_line',
      e: 'journal_entry',
    };
    const name = named[table as keyof typeof named] ?? table ?? '';
    return LARGE.includes(name) && !step.includes('USING');
  });

const later = Buffer.from(JSON.stringify([makeCaskCode(0)])).toString('base64url');
const cases: [string, Endpoint, () => object][] = [
  ['casks by code', api.casks.list, () => ({ query: {} })],
  ['casks by code, further on', api.casks.list, () => ({ query: { after: later } })],
  ...(['filledAt', 'strength', 'litresPureAlcohol', 'lastGaugedAt'] as const).map(
    (sort): [string, Endpoint, () => object] => [
      `casks by ${sort}`,
      api.casks.list,
      () => ({ query: { sort, direction: 'desc' } }),
    ],
  ),
  ['casks of a zone', api.casks.list, () => ({ query: { zoneId: estate.zoneId } })],
  ['casks by search', api.casks.list, () => ({ query: { search: 'C0000' } })],
  ['a card', api.casks.card, () => ({ params: { id: estate.caskIds[0] } })],
  ['a scan', api.casks.scan, () => ({ query: { text: makeCaskCode(1) } })],
  [
    'a misread scan',
    api.casks.scan,
    () => ({ query: { text: `${makeCaskCode(1).slice(0, 7)}Z` } }),
  ],
  ['facets', api.casks.facets, () => ({})],
  ['next codes', api.casks.nextCodes, () => ({ query: { count: 2 } })],
  ['an aisle', api.casks.aisle, () => ({ params: { id: estate.storeId } })],
  ['a map', api.places.map, () => ({ params: { id: estate.zoneId } })],
  ['positions', api.places.positions, () => ({ query: {} })],
  ['positions of a zone', api.places.positions, () => ({ query: { zoneId: estate.zoneId } })],
  ['the journal', api.journal.list, () => ({ query: {} })],
  [
    'the journal of a cask',
    api.journal.list,
    () => ({ query: { subject: `cask:${estate.caskIds[0] ?? ''}` } }),
  ],
  ['the journal of a kind', api.journal.list, () => ({ query: { kind: 'cask.fill' } })],
  ['a recall', api.lineage.recall, () => ({ params: { kind: 'plot', id: estate.plotId } })],
  ['postings', api.books.postings, () => ({ query: { month: '2020-05', cause: 'filled' } })],
  ['a return', api.books.months, () => ({ query: { from: '2020-05', to: '2020-06' } })],
  ['the overview', api.places.overview, () => ({})],
  ['the stores', api.places.stores, () => ({})],
  ['the owners', api.owners.list, () => ({})],
  ['an owner’s statement', api.owners.statement, () => ({ params: { id: estate.accountId } })],
  ['stock-takes', api.stocktakes.list, () => ({ query: {} })],
  ['suspicions', api.maturation.suspicions, () => ({})],
  ['casks suspected to leak', api.casks.list, () => ({ query: { suspicion: 'possible-leak' } })],
  [
    'sound casks of a wood',
    api.casks.list,
    () => ({ query: { condition: 'sound', woodSpecies: 'Quercus alba' } }),
  ],
];

test.each(cases)('%s is answered from indexes', async (_, endpoint, input) => {
  const plans = await plansOf(endpoint, input() as CallOf<Endpoint>);
  expect(plans.length).toBeGreaterThan(0);
  expect(scansIn(plans)).toEqual([]);
});

test('the few suspicions are found by their own index, not among all that matures', async () => {
  const plans = await plansOf(api.maturation.suspicions, {});
  expect(plans.join('\n')).toContain('ix_filling_suspicion_lastGaugedAt');
});

test('a list without its index would be noticed', async () => {
  const plan = await server.app
    .get(Reader)
    .all<{ detail: string }>(
      sql`EXPLAIN QUERY PLAN SELECT * FROM ${raw('"cask"')} WHERE "record" = ${'x'}`,
    );
  expect(scansIn(plan.map((row) => row.detail))).toHaveLength(1);
});
