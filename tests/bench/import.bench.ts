/**
 * How long a CSV file of 100,000 casks takes to come in on SQLite through a running server, what it takes to hear what is wrong with
 * one, how long others' acts wait meanwhile, and the memory. Seconds of processor are the server's.
 *
 *     npm run bench -- import
 *     RUNDLET_BENCH_ROWS=10000 npm run bench -- import
 */
import { makeCaskCode, makePositionCode, makeVatCode } from '@rundlet/identifiers';
import type { ImportKind } from '@rundlet/contracts';
import { importCsv } from '../support/jobs.ts';
import { act, doActs, newId } from '../support/small-estate.ts';
import { serve } from './served.ts';

const TARGET_SECONDS = 60;
const ROWS = Number(process.env['RUNDLET_BENCH_ROWS'] ?? 100_000);
const say = (line: string): void => void process.stdout.write(`${line}\n`);

const server = await serve();
const { keeper } = server;
const [storeId, zoneId, accountId, vatId] = [newId(), newId(), newId(), newId()];
await doActs(keeper, [
  act('store.register', {
    id: storeId,
    code: 'S',
    name: 'Saltstair',
    timeZone: 'Europe/London',
    remark: null,
  }),
  act('zone.register', { id: zoneId, storeId, code: 'S-1', name: 'Floor', floor: 0 }),
  act('account.register', { id: accountId, code: 'HP', name: 'Estate', kind: 'own', remark: null }),
  act('vat.register', {
    id: vatId,
    code: makeVatCode(1),
    name: 'Opening vat',
    storeId,
    accountId,
    capacityLitres: 1000,
  }),
  act('spirit-lot.record', { id: newId(), code: 'OLD', name: 'Older than the books', inputs: [] }),
]);

const lines = (header: string, row: (i: number) => string): string =>
  `${header}\n${Array.from({ length: ROWS }, (_, i) => row(i)).join('\n')}\n`;
const BARREL = 'barrel,200,Quercus alba,bourbon,640,540,880';
const CASK =
  'code,kind,nominalLitres,woodSpecies,previousContents,bilgeDiameterMm,headDiameterMm,lengthMm,tareKg,aliases,position';
const empty = (i: number, from: number): string =>
  `${makeCaskCode(from + i)},${BARREL},51,RC-${String(from + i)},${makePositionCode(i)}`;
const filled = (i: number): string =>
  `${empty(i, 2_000_000)},2019-0${String((i % 9) + 1)}-14,${makeVatCode(1)},OLD,${String(185 + (i % 9))},63.${String(i % 10)}`;
const FILLED = `${CASK},filledAt,vat,spiritLot,bulkLitresAt20C,strengthPercentVol`;

await send(
  'positions',
  'places',
  lines(
    'zone,code,row,bay,level,slot,walkOrder,capacity',
    (i) =>
      `S-1,${makePositionCode(i)},${String(Math.floor(i / 50))},${String(i % 50)},1,1,${String(i)},2`,
  ),
);
await send(
  'casks',
  'empty casks',
  lines(CASK, (i) => empty(i, 1)),
);
await send(
  'casks',
  'filled casks, each third row wrong',
  lines(FILLED, (i) =>
    i % 3 === 0 ? filled(i).replace('640', '64O').replace(/,OLD,/, ',ODL,') : filled(i),
  ),
);
await send('casks', 'filled casks', lines(FILLED, filled));
await server.stop();

async function send(kind: ImportKind, words: string, csv: string): Promise<void> {
  const waits: number[] = [];
  let over = false;
  const others = (async () => {
    while (!over) {
      const began = performance.now();
      await doActs(keeper, [
        act('plot.record', {
          id: newId(),
          code: `P-${String(Math.random()).slice(2, 14)}`,
          name: 'Meanwhile',
          areaHa: 1,
          soil: null,
          crop: 'pear',
          variety: 'any',
          plantedYear: null,
        }),
      ]);
      waits.push(performance.now() - began);
      await new Promise((resolve) => setTimeout(resolve, 200));
    }
  })();
  const [began, before] = [performance.now(), server.usage()];
  const report = await importCsv(keeper, kind, csv);
  const seconds = (performance.now() - began) / 1000;
  const { processorSeconds, mostMiB } = server.usage();
  over = true;
  await others;
  waits.sort((a, b) => a - b);
  say(
    `${String(ROWS)} ${words}: ${seconds.toFixed(1)} s, ${(processorSeconds - before.processorSeconds).toFixed(1)} s of processor against a target of ${String(TARGET_SECONDS)} s; ${String(report.errors.length)} errors told, ${report.applied ? `${String(report.rowsGood)} rows written` : 'nothing written'}; others' acts waited ${(waits[Math.floor(waits.length * 0.95)] ?? 0).toFixed(0)} ms (p95), at most ${(waits.at(-1) ?? 0).toFixed(0)} ms; memory at most ${mostMiB.toFixed(0)} MiB`,
  );
}
