/**
 * How quick a large estate stays for 20 people at once: the 95th percentile of what they ask for most beside that of the bare SQL it
 * needs, asked in the same run by as many at once through one connection; stock-take scans a second; the server's processor and memory.
 *
 *     npm run bench -- scale                                           20,000 casks on SQLite, written first
 *     RUNDLET_BENCH_CASKS=200000 npm run bench -- scale
 *     RUNDLET_BENCH_DATABASE=sqlite:/tmp/large.sqlite npm run bench -- scale     an estate that `npm run grow` wrote
 */
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { Act } from '@rundlet/contracts';
import sql, { type Sql } from 'sql-template-tag';
import { connect, disconnect } from '../../apps/server/src/database/data-source.ts';
import { Reader } from '../../apps/server/src/database/reader.ts';
import { bulkLoad } from '../../demo/bulk-load.ts';
import { largeEstate } from '../../demo/large.ts';
import { act } from '../support/small-estate.ts';
import { serve } from './served.ts';

const USERS = 20;
const ASKED = Number(process.env['RUNDLET_BENCH_REQUESTS'] ?? 400);
const WARMING = 60;
const TARGET = { milliseconds: 60, times: 3, scansASecond: 500, memoryMiB: 500 };
const say = (line: string): void => void process.stdout.write(`${line}\n`);

const folder = mkdtempSync(join(tmpdir(), 'rundlet-bench-'));
const url = process.env['RUNDLET_BENCH_DATABASE'] ?? `sqlite:${join(folder, 'large.sqlite')}`;
const connections = await connect(url);
if (process.env['RUNDLET_BENCH_DATABASE'] === undefined) {
  const casks = Number(process.env['RUNDLET_BENCH_CASKS'] ?? 20_000);
  const story = largeEstate({ seed: 'bench', today: '2026-11-25', casks, entriesPerCask: 4 });
  await bulkLoad(
    connections,
    story,
    () => 'keeper',
    () => undefined,
  );
}
const rows = new Reader(connections.reader);
let noted = 0;
const server = await serve(url);
try {
  await bench();
} finally {
  await server.stop();
  await disconnect(connections);
  rmSync(folder, { recursive: true });
}

interface Question {
  readonly name: string;
  /** what the n-th request asks */
  readonly path: (n: number) => string;
  /** the bare SQL behind it */
  readonly bare: (n: number) => Sql[];
  /** whether something is written before each, so that no answer can be kept */
  readonly afterWrite?: true;
  readonly requests?: number;
  readonly limitMilliseconds?: number;
}

async function bench(): Promise<void> {
  const counts = await rows.one<{ casks: number; entries: number }>(
    sql`SELECT (SELECT COUNT(*) FROM "cask") AS "casks", (SELECT MAX("seq") FROM "journal_entry") AS "entries"`,
  );
  say(
    `${String(counts?.casks)} casks and ${String(counts?.entries)} entries on ${connections.dialect}; ${String(USERS)} users at once`,
  );
  say(
    '                          p95 ms   bare SQL  times   server ms of processor a request   targets',
  );
  for (const question of await questions()) await ask(question);
  await count();
  const { residentMiB, mostMiB } = server.usage();
  say(
    `server memory: ${residentMiB.toFixed(0)} MiB, at most ${mostMiB.toFixed(0)} MiB against a target of ${String(TARGET.memoryMiB)} MiB`,
  );
}

async function questions(): Promise<Question[]> {
  const sample = await rows.all<{
    id: string;
    code: string;
    alias: string;
    zoneId: string;
    storeId: string;
    woodSpecies: string;
  }>(
    sql`SELECT c."id", c."code", a."value" AS "alias", c."zoneId", c."storeId", c."woodSpecies" FROM "cask" c JOIN "cask_alias" a ON a."ownerId" = c."id" WHERE c."serial" % 97 = 3 LIMIT 2000`,
  );
  const nth = (n: number) => sample[(n * 7919) % sample.length] as (typeof sample)[number];
  const after = (...key: (string | number)[]) =>
    Buffer.from(JSON.stringify(key)).toString('base64url');
  const inList = sql`SELECT c."record", f."record" AS "filling", p."code" FROM "cask" c LEFT JOIN "filling" f ON f."id" = c."fillingId" LEFT JOIN "position" p ON p."id" = c."positionId"`;
  const month = '2026-05';
  return [
    {
      name: 'list',
      path: () => '/api/casks',
      bare: () => [sql`${inList} ORDER BY c."code" LIMIT 51`],
    },
    {
      name: 'page further on',
      path: (n) => `/api/casks?after=${after(nth(n).code)}`,
      bare: (n) => [sql`${inList} WHERE c."code" > ${nth(n).code} ORDER BY c."code" LIMIT 51`],
    },
    {
      name: 'by strength, filled 2020',
      path: () =>
        '/api/casks?sort=strength&direction=desc&filledFrom=2020-01-01&filledTo=2020-12-31',
      bare: () => [
        sql`SELECT c."record", f."record" AS "filling", p."code" FROM "filling" f JOIN "cask" c ON c."id" = f."caskId" LEFT JOIN "position" p ON p."id" = c."positionId"
            WHERE f."status" = 'maturing' AND f."filledAt" >= '2020-01-01' AND f."filledAt" <= '2020-12-31T23:59:59.999Z' ORDER BY f."strengthPercentVol" DESC, f."caskCode" DESC LIMIT 51`,
      ],
    },
    {
      name: 'search by code',
      path: (n) => `/api/casks?search=${nth(n).code.slice(0, 6)}`,
      bare: (n) => [
        sql`${inList} WHERE c."code" >= ${nth(n).code.slice(0, 6)} AND c."code" < ${`${nth(n).code.slice(0, 6)}\u{10FFFF}`} ORDER BY c."code" LIMIT 51`,
      ],
    },
    {
      name: 'search by cooper’s number',
      path: (n) => `/api/casks?search=${nth(n).alias}`,
      bare: (n) => [
        sql`${inList} WHERE c."id" IN (SELECT "ownerId" FROM "cask_alias" WHERE "value" >= ${nth(n).alias} AND "value" < ${`${nth(n).alias}\u{10FFFF}`}) ORDER BY c."code" LIMIT 51`,
      ],
    },
    {
      name: 'filter by zone and wood',
      path: (n) =>
        `/api/casks?zoneId=${nth(n).zoneId}&woodSpecies=${encodeURIComponent(nth(n).woodSpecies)}`,
      bare: (n) => [
        sql`${inList} WHERE c."zoneId" = ${nth(n).zoneId} AND c."woodSpecies" = ${nth(n).woodSpecies} ORDER BY c."code" LIMIT 51`,
      ],
    },
    {
      name: 'filter by wood and condition',
      path: (n) =>
        `/api/casks?condition=sound&woodSpecies=${encodeURIComponent(nth(n).woodSpecies)}`,
      bare: (n) => [
        sql`${inList} WHERE c."condition" = 'sound' AND c."woodSpecies" = ${nth(n).woodSpecies} ORDER BY c."code" LIMIT 51`,
      ],
    },
    {
      name: 'filter: suspected leaks',
      path: () => '/api/casks?suspicion=possible-leak',
      bare: () => [sql`${inList} WHERE f."suspicion" = 'possible-leak' ORDER BY c."code" LIMIT 51`],
    },
    {
      name: 'cask page',
      path: (n) => `/api/casks/${nth(n).id}`,
      bare: (n) => cardSql(nth(n).id),
    },
    {
      name: 'scan look-up',
      path: (n) => `/api/scan?text=${nth(n).code}`,
      bare: (n) => [sql`${inList} WHERE c."code" = ${nth(n).code}`],
    },
    {
      name: 'dashboard',
      path: () => '/api/overview',
      bare: () => [
        sql`SELECT "storeId", COUNT(*) AS "casks", SUM("bulkLitresAt20C") AS "bulk", SUM("litresPureAlcohol") AS "lpa" FROM "filling" WHERE "status" = 'maturing' GROUP BY "storeId"`,
      ],
      afterWrite: true,
      requests: 20,
      limitMilliseconds: 500,
    },
    {
      name: 'stores',
      path: () => '/api/stores',
      bare: () => [
        sql`SELECT "zoneId", COUNT(*) AS "positions", SUM("capacity") AS "capacity", SUM("occupied") AS "occupied" FROM "position" GROUP BY "zoneId"`,
      ],
      requests: 40,
    },
    {
      name: 'map of a zone',
      path: (n) => `/api/zones/${nth(n).zoneId}/map`,
      bare: (n) => [
        sql`SELECT "record" FROM "position" WHERE "zoneId" = ${nth(n).zoneId} ORDER BY "walkOrder", "id"`,
        sql`SELECT c."record", f."record" AS "filling" FROM "cask" c LEFT JOIN "filling" f ON f."id" = c."fillingId" WHERE c."zoneId" = ${nth(n).zoneId} ORDER BY c."code"`,
      ],
      requests: 40,
    },
    {
      name: 'account of a month',
      path: () => `/api/returns?from=${month}&to=${month}`,
      bare: () => [
        sql`SELECT "accountId", "storeId", "cause", SUM("ethanolMg") AS "mg" FROM "posting" WHERE "month" = ${month} GROUP BY "accountId", "storeId", "cause"`,
      ],
      requests: 40,
    },
    {
      name: 'owners',
      path: () => '/api/owners',
      bare: () => [
        sql`SELECT "accountId", COUNT(*) AS "casks", SUM("ethanolMg") AS "mg" FROM "filling" WHERE "status" = 'maturing' GROUP BY "accountId"`,
      ],
      requests: 40,
    },
    {
      name: 'journal',
      path: () => '/api/journal',
      bare: () => [sql`SELECT * FROM "journal_entry" ORDER BY "seq" DESC LIMIT 51`],
    },
    {
      name: 'stock-takes',
      path: () => '/api/stocktakes',
      bare: () => [
        sql`SELECT "state", COUNT(*) AS "lines" FROM "stocktake_line" GROUP BY "stocktakeId", "state"`,
      ],
    },
  ];
}

/** Cask, place, filling and what was measured of it, history. */
function cardSql(id: string): Sql[] {
  const ofFilling = (table: Sql) =>
    sql`SELECT t."record" FROM ${table} t JOIN "cask" c ON c."fillingId" = t."fillingId" WHERE c."id" = ${id}`;
  return [
    sql`SELECT c."record", f."record" AS "filling", p."record" AS "position", z."record" AS "zone", s."record" AS "store", a."record" AS "account" FROM "cask" c
        LEFT JOIN "filling" f ON f."id" = c."fillingId" LEFT JOIN "position" p ON p."id" = c."positionId" LEFT JOIN "zone" z ON z."id" = c."zoneId" LEFT JOIN "store" s ON s."id" = c."storeId" LEFT JOIN "account" a ON a."id" = f."accountId" WHERE c."id" = ${id}`,
    ofFilling(sql`"gauge"`),
    ofFilling(sql`"filling_event"`),
    ofFilling(sql`"sample"`),
    sql`SELECT e.* FROM "journal_subject" j JOIN "journal_entry" e ON e."seq" = j."seq" WHERE j."subject" = ${`cask:${id}`} ORDER BY j."seq" DESC LIMIT 100`,
  ];
}

async function ask(question: Question): Promise<void> {
  const { name, path, bare, afterWrite, limitMilliseconds } = question;
  const requests = question.requests ?? ASKED;
  const get = async (n: number) => {
    const answer = await fetch(server.base + path(n), { headers: server.headers });
    await answer.arrayBuffer();
    if (!answer.ok) throw new Error(`${path(n)}: ${String(answer.status)}`);
  };
  // A server that has just started compiles its program as it goes; that is over after a few hundred requests.
  if (!afterWrite) await timed(Math.min(WARMING, requests), USERS, get);
  await get(0);
  if (afterWrite) await send([note(0)]);
  const before = server.usage().processorSeconds;
  const served = afterWrite
    ? await timed(requests, 1, async (n) => {
        await get(n);
        await send([note(n)]);
      })
    : await timed(requests, USERS, get);
  const processor = (server.usage().processorSeconds - before) / requests;
  const alone = await timed(requests, afterWrite ? 1 : USERS, async (n) => {
    for (const statement of bare(n)) await rows.all(statement);
  });
  const limit = limitMilliseconds ?? TARGET.milliseconds;
  const times = served / alone;
  const met = [served <= limit ? 'met' : 'MISSED', times <= TARGET.times ? 'met' : 'MISSED'];
  say(
    `${name.padEnd(26)}${served.toFixed(1).padStart(7)}${alone.toFixed(1).padStart(11)}${times.toFixed(1).padStart(7)}${(processor * 1000).toFixed(1).padStart(12)}${`${String(limit)} ms ${met[0] ?? ''}, ${String(TARGET.times)} times ${met[1] ?? ''}`.padStart(58)}`,
  );
}

/** 95th percentile, ms, of `times` calls by so many at once. */
async function timed(
  times: number,
  atOnce: number,
  call: (n: number) => Promise<void>,
): Promise<number> {
  const took: number[] = [];
  let next = 0;
  const user = async () => {
    for (let n = next++; n < times; n = next++) {
      const began = performance.now();
      await call(n);
      took.push(performance.now() - began);
    }
  };
  await Promise.all(Array.from({ length: atOnce }, user));
  took.sort((a, b) => a - b);
  return took[Math.ceil(took.length * 0.95) - 1] ?? NaN;
}

function note(n: number): Act {
  return act('plot.record', {
    id: crypto.randomUUID(),
    code: `B-${String(Date.now())}-${String((noted += 1))}-${String(n)}`,
    name: 'Written meanwhile',
    areaHa: 1,
    soil: null,
    crop: 'pear',
    variety: 'any',
    plantedYear: null,
  });
}

async function send(acts: readonly Act[]): Promise<void> {
  const answer = await fetch(`${server.base}/api/acts/batch`, {
    method: 'POST',
    headers: { ...server.headers, 'content-type': 'application/json' },
    body: JSON.stringify({ acts }),
  });
  const { results } = (await answer.json()) as { results: { status: string }[] };
  const refused = results.find(({ status }) => status !== 'applied');
  if (refused) throw new Error(JSON.stringify(refused));
}

/** Twenty people scan the running count, each scan sent as it is made, ten of a phone's outbox at a time. */
async function count(): Promise<void> {
  const [running] = await rows.all<{ id: string; scope: string }>(
    sql`SELECT "id", "record" AS "scope" FROM "stocktake" WHERE "status" = 'open' LIMIT 1`,
  );
  if (!running) return;
  const { scope } = JSON.parse(running.scope) as { scope: { zoneIds: string[] } };
  const casks = await rows.all<{ id: string; code: string; positionId: string }>(
    sql`SELECT "id", "code", "positionId" FROM "cask" WHERE "zoneId" = ${scope.zoneIds[0]} ORDER BY "code"`,
  );
  const TOGETHER = 10;
  const batches = Array.from({ length: 300 }, (_, b) =>
    Array.from({ length: TOGETHER }, (__, i) => {
      const cask = casks[(b * TOGETHER + i) % casks.length];
      return act(
        'stocktake.count',
        {
          stocktakeId: running.id,
          scanned: cask?.code ?? '',
          caskId: cask?.id ?? null,
          positionId: cask?.positionId ?? null,
          damagedLabel: false,
        },
        { happenedAt: new Date().toISOString() },
      );
    }),
  );
  const [began, before] = [performance.now(), server.usage().processorSeconds];
  const p95 = await timed(batches.length, USERS, (n) => send(batches[n] ?? []));
  const seconds = (performance.now() - began) / 1000;
  const processor = server.usage().processorSeconds - before;
  const scans = batches.length * TOGETHER;
  say(
    `stock-take: ${(scans / seconds).toFixed(0)} scans a second accepted and on disk, against a target of ${String(TARGET.scansASecond)}; ${((processor / scans) * 1000).toFixed(2)} ms of processor a scan, which is ${(scans / processor).toFixed(0)} a second of processor; p95 of ten scans ${p95.toFixed(0)} ms`,
  );
}
