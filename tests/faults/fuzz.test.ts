/**
 * Every route, asked with values made from its own description: valid ones, edges, and hostile ones. No answer may be a
 * fault of the server's, take long, or come of a request that wrote something and was refused all the same.
 * RUNDLET_FUZZ_RUNS sets how many requests a route gets; the suite's own number is small.
 */
import fc from 'fast-check';
import { api, type Endpoint } from '@rundlet/contracts';
import sql from 'sql-template-tag';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { Reader } from '../../apps/server/src/database/reader.ts';
import { startServer, type TestServer } from '../support/server.ts';
import { act, doActs, layDownSmallEstate, newId } from '../support/small-estate.ts';
import { hostileFor, validFor, type Schema } from '../support/json-schema-arbitrary.ts';

const RUNS = Number(process.env['RUNDLET_FUZZ_RUNS'] ?? 6);
const SEED = Number(process.env['RUNDLET_FUZZ_SEED'] ?? 20);
const SLOW_MS = 10_000;

interface Operation {
  readonly operationId: string;
  readonly parameters: readonly {
    name: string;
    in: 'path' | 'query';
    required: boolean;
    schema: Schema;
  }[];
  readonly requestBody?: { content: Record<string, { schema: Schema }> };
}
interface Asked {
  readonly path: Record<string, unknown>;
  readonly query: Record<string, unknown>;
  readonly body: unknown;
}

const endpoints = Object.entries(api).flatMap(([feature, all]) =>
  Object.entries(all as Record<string, Endpoint>).map(([name, endpoint]) => ({
    name: `${feature}.${name}`,
    endpoint,
  })),
);
/** Ends the very session the requests are made in. */
const LEFT_OUT = ['session.signOut'];
/** Open to who knows a password, a code or a link: no random request does. */
const NEEDS_A_SECRET =
  /^session\.(signIn|setUp|changePassword|beginSecondStep|confirmSecondStep|endSecondStep)$/;

describe('every route under random requests', () => {
  let server: TestServer;
  let operations: Map<string, Operation>;
  let headers: Record<string, string>;
  let ids: string[];
  /** How often each route answered with a success, to see that the fuzz gets past the door. */
  const served = new Map<string, number>();
  beforeAll(async () => {
    server = await startServer('file');
    const estate = await layDownSmallEstate(await server.as('keep'), { casks: 4 });
    const { caskIds, fillingIds, positionIds, ...single } = estate;
    const stocktakeId = newId();
    await doActs(await server.as('keep'), [
      act('stocktake.open', {
        id: stocktakeId,
        code: 'FUZZ',
        title: 'Count',
        scope: { storeId: estate.storeId, zoneIds: [], rows: [] },
        blind: false,
      }),
    ]);
    ids = [...caskIds, ...fillingIds, ...positionIds.slice(0, 3), ...Object.values(single)];
    ids.push(stocktakeId);
    const { Devices } = await import('../../apps/server/src/session/devices.ts');
    const { secret } = await server.app.get(Devices).issue('fuzz', ['administer'], 'test');
    headers = { 'content-type': 'application/json', authorization: `Bearer ${secret}` };
    const document = (await (await fetch(`${server.base}/api/openapi.json`)).json()) as {
      paths: Record<string, Record<string, Operation>>;
    };
    operations = new Map(
      Object.values(document.paths)
        .flatMap((methods) => Object.values(methods))
        .map((operation) => [operation.operationId, operation]),
    );
  });
  afterAll(() => server.stop());

  const entries = async (): Promise<number> => {
    const rows = await server.app
      .get(Reader)
      .all<{ n: number }>(sql`SELECT count(*) AS "n" FROM "journal_entry"`);
    return Number(rows[0]?.n);
  };

  const ask = async ({ method, path }: Endpoint, asked: Asked) => {
    const to = path.replace(/:(\w+)/g, (_, name: string) =>
      encodeURIComponent(text(asked.path[name]).replaceAll('\ud800', '�') || '-'),
    );
    const query = new URLSearchParams(
      Object.entries(asked.query).flatMap(([key, value]) =>
        (Array.isArray(value) ? value : [value])
          .filter((v) => v !== undefined)
          .map((v) => [key, text(v)]),
      ),
    );
    const begun = Date.now();
    const response = await fetch(`${server.base}${to}?${query.toString()}`, {
      method,
      headers,
      ...(method === 'POST' ? { body: JSON.stringify(asked.body) } : {}),
    });
    await response.arrayBuffer();
    return { status: response.status, tookMs: Date.now() - begun };
  };

  test.each(endpoints.filter(({ name }) => !LEFT_OUT.includes(name)))(
    '$name',
    async ({ name, endpoint }) => {
      const operation = operations.get(name);
      if (!operation) throw new Error(`${name} is not described.`);
      const inputs = (hostile: boolean): fc.Arbitrary<Asked> => {
        const of = hostile ? hostileFor : validFor;
        const object = (where: 'path' | 'query') =>
          of(
            {
              type: 'object',
              properties: Object.fromEntries(
                operation.parameters.filter((p) => p.in === where).map((p) => [p.name, p.schema]),
              ),
              required: operation.parameters
                .filter((p) => p.in === where && p.required)
                .map((p) => p.name),
            },
            ids,
          ).map((v) => (typeof v === 'object' && v !== null ? v : {}) as Record<string, unknown>);
        const body = operation.requestBody?.content['application/json']?.schema;
        return fc.record({
          path: object('path'),
          query: object('query'),
          body: body ? of(body, ids) : fc.constant(undefined),
        });
      };
      await fc.assert(
        fc.asyncProperty(fc.oneof(inputs(false), inputs(true)), async (asked) => {
          const before = endpoint.method === 'POST' ? await entries() : 0;
          const { status, tookMs } = await ask(endpoint, asked);
          if (status < 400) served.set(name, (served.get(name) ?? 0) + 1);
          expect(status, JSON.stringify(asked)).toBeLessThan(500);
          expect(tookMs).toBeLessThan(SLOW_MS);
          if (endpoint.method === 'POST' && status >= 400)
            expect(await entries(), 'entries after a refusal').toBe(before);
        }),
        { numRuns: RUNS, seed: SEED, endOnFailure: true },
      );
    },
    600_000,
  );

  test('has got past the door of most routes', () => {
    const open = endpoints.map(({ name }) => name).filter((name) => !NEEDS_A_SECRET.test(name));
    const never = open.filter((name) => !served.has(name));
    console.log(`Routes that refused everything: ${never.join(', ')}`);
    expect(never.length).toBeLessThan(open.length / 2);
  });
});

function text(value: unknown): string {
  return typeof value === 'string' ? value : (JSON.stringify(value) ?? '');
}
