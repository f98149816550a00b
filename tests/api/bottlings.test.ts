import { mkdtemp, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { Client } from '@rundlet/client';
import { api } from '@rundlet/contracts';
import { BottlingStatement, checkCheckpoint, checkStatement } from '@rundlet/statements';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { run } from '../../apps/cli/src/program.ts';
import { verifyDatabase } from '../../apps/server/src/journal/verification.ts';
import { databases } from '../support/database.ts';
import { problemOf, startServer, type TestServer } from '../support/server.ts';
import {
  act,
  doActs,
  layDownSmallEstate,
  newId,
  type SmallEstate,
} from '../support/small-estate.ts';

describe.each(databases)('bottling on %s', (kind) => {
  let server: TestServer;
  let keeper: Client;
  let estate: SmallEstate;
  const runId = newId();
  beforeAll(async () => {
    server = await startServer(kind);
    keeper = await server.as('keep');
    estate = await layDownSmallEstate(keeper);
  });
  afterAll(() => server.stop());

  const bottling = (more: object = {}) =>
    act(
      'bottling.record',
      {
        id: runId,
        code: 'B26-1',
        name: 'Tern Russet, first bottling',
        vatId: estate.vatId,
        blendId: null,
        bulkLitresAt20C: 100,
        bottles: 140,
        bottleMl: 700,
        labelStrengthPercentVol: 63.5,
        // GS1 General Specifications: the last digit of a GTIN is its check digit.
        gtin: '09521321000018',
        ...more,
      },
      { happenedAt: '2026-02-25T09:00:00.000Z' },
    );
  const refused = (more: object) =>
    problemOf(keeper.call(api.journal.submit, { body: bottling(more) }));

  test('more bottles than litres, a wrong GTIN and a blend that is elsewhere are refused at their field', async () => {
    expect(await refused({ bottles: 145 })).toMatchObject({
      type: '/problems/impossible-yield',
      errors: [{ pointer: '#/body/bottles' }],
    });
    expect((await refused({ gtin: '09521321000019' })).errors?.[0]?.pointer).toBe('#/body/gtin');
    expect((await refused({ blendId: newId() })).status).toBe(404);
    expect((await refused({ bulkLitresAt20C: 9000, bottles: 10_000 })).type).toBe(
      '/problems/not-enough-liquid',
    );
  });

  test('the account has the bottled and the lost litres apart, to the milligram', async () => {
    await doActs(keeper, [bottling()]);
    const { rows } = await keeper.call(api.books.months, {
      query: { from: '2026-02', to: '2026-02' },
    });
    const moved = Object.fromEntries(
      (rows[0]?.movements ?? []).map((m) => [m.cause, m.litresPureAlcohol]),
    );
    expect(moved['bottled']).toBeCloseTo(-98 * 0.635, 4);
    expect(moved['bottling-loss']).toBeCloseTo(-2 * 0.635, 4);
    expect((await keeper.call(api.bottlings.runs)).rows).toMatchObject([
      { code: 'B26-1', bottles: 140, statement: null },
    ]);
  });

  test('nothing of it is public until it is published, and then what was chosen and no more', async () => {
    const told = () => server.nobody.call(api.bottlings.told, { params: { code: 'B26-1' } });
    expect((await problemOf(told())).status).toBe(404);
    const params = { id: runId };
    expect((await problemOf(server.nobody.call(api.bottlings.run, { params }))).status).toBe(401);
    const facts = ['plots', 'varieties', 'still-runs', 'ways'];
    await keeper.call(api.bottlings.publish, { params, body: { facts } });
    const { statement, keys } = await told();
    const jwks = keys.map(({ x }) => ({ kty: 'OKP', crv: 'Ed25519', x }) as const);
    const checked = checkStatement(statement, jwks);
    expect(checked.status).toBe('good');
    const said = BottlingStatement.parse(checked.status === 'good' ? checked.payload : null);
    expect(said.told).toEqual({
      plots: [{ name: 'Seaward orchard', share: 1 }],
      varieties: [{ name: 'apple, Tern Russet', share: 1 }],
      'still-runs': [{ name: 'Pot 1, 2020-04-28', share: 1 }],
      // Past the harvests, which are withheld.
      ways: [{ from: 'plots', to: 'still-runs', flows: [[0, 0, 1]] }],
    });
    expect(said.withheld).toEqual(['harvests', 'cask-kinds', 'years', 'store-climate']);
    // The checkpoint it rests on is signed by the same house and covers the entry of the run.
    const resting = checkCheckpoint(said.checkpoint, jwks);
    const entry = (
      await keeper.call(api.journal.list, { query: { limit: 5, kind: 'bottling.record' } })
    ).rows[0];
    expect(resting.status === 'good' && resting.checkpoint.seq).toBeGreaterThanOrEqual(
      entry?.seq ?? 0,
    );
    expect(
      (await problemOf(keeper.call(api.bottlings.publish, { params, body: { facts: ['prices'] } })))
        .errors?.[0]?.pointer,
    ).toBe('#/body/facts/0');
    const report = await verifyDatabase(server.settings.databaseUrl);
    expect(report.failures).toEqual([]);
  });

  test('its label’s code is a GS1 Digital Link where the bottle has a GTIN, else a plain address', async () => {
    const { address } = await keeper.call(api.bottlings.run, { params: { id: runId } });
    // GS1 Digital Link Standard: /01/{GTIN}/10/{batch}.
    expect(address).toBe('http://casks.harrowpoint.example/01/09521321000018/10/B26-1');
    const plain = newId();
    await doActs(keeper, [{ ...bottling({ id: plain, code: 'B26-2', gtin: null }), id: newId() }]);
    expect((await keeper.call(api.bottlings.run, { params: { id: plain } })).address).toBe(
      'http://casks.harrowpoint.example/b/B26-2',
    );
    const code = await keeper.file(api.bottlings.code, { params: { id: plain } });
    expect(new TextDecoder().decode(code.bytes)).toContain('<svg');
  });

  test('rundlet verify-statement checks it without a server, and a changed one fails', async () => {
    const folder = await mkdtemp(join(tmpdir(), 'rundlet-bottle-'));
    const answer = await server.nobody.call(api.bottlings.told, { params: { code: 'B26-1' } });
    const keyFile = join(folder, 'keys.json');
    await writeFile(keyFile, JSON.stringify({ rows: answer.keys }));
    const check = async (statement: string) => {
      const file = join(folder, 'statement.txt');
      await writeFile(file, statement);
      let out = '';
      const sink = { write: (text: string | Uint8Array) => (out += String(text)) };
      const exit = await run(
        ['node', 'rundlet', 'verify-statement', file, '--key', keyFile],
        {},
        { out: sink, err: sink },
      );
      return { exit, out };
    };
    expect((await check(answer.statement)).out).toContain('Tern Russet');
    const [head = '', body = '', tail = ''] = answer.statement.split('.');
    const more = Buffer.from(
      Buffer.from(body, 'base64url').toString().replace('"bottles":140', '"bottles":999'),
    ).toString('base64url');
    expect((await check(`${head}.${more}.${tail}`)).exit).toBe(5);
    await rm(folder, { recursive: true });
  });
});
