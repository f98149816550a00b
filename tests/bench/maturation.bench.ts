/**
 * Speed of the maturation library: learning an estate, forecasting a stock by month in worker threads, and one
 * month of one filling beside the same loop in C at -O2 (where cc is found). Arguments: fillings to learn from
 * (default 10000), fillings to forecast (default 100000).
 */
import { execFileSync } from 'node:child_process';
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { availableParallelism, tmpdir } from 'node:os';
import { join } from 'node:path';
import { deserialize, serialize } from 'node:v8';
import { isMainThread, parentPort, Worker, workerData } from 'node:worker_threads';
import {
  addStocks,
  addToStock,
  calibrate,
  emptyStock,
  finishStock,
  updateFilling,
  type ClimateByZone,
  type FillingHistory,
  type FillingPosterior,
  type Population,
  type StockSums,
} from '@rundlet/maturation';
import { climateOfFloors, fillingsOf } from '../../libs/maturation/src/forecast-bundle.ts';
import { simulateStore } from '../maturation/simulator/estate.ts';
import { integrationCost, integrationInC } from '../maturation/integration-cost.ts';

const MONTHS = 240;
const BLOCK = 500;
/** as the server's threads have: few collections, and what is short-lived is gone by then */
const YOUNG_HEAP_MB = 96;
/** different fillings in the stock that is forecast */
const STOCK_DRAWN = 1500;

interface Stock {
  posteriors: FillingPosterior[];
  population: Population;
  climate: ClimateByZone;
  dates: string[];
}

interface Shard {
  /** the stock, written once for all threads */
  stock: SharedArrayBuffer;
  fillings: number;
  /** fillings that some thread has taken: the faster core takes more blocks */
  taken: Int32Array;
}

/** Forecasts block by block, as posteriors come out of a database, and keeps nothing but sums. */
function forecastShard({ stock, fillings, taken }: Shard): {
  sums: StockSums;
  checked: number;
} {
  const { posteriors, population, climate, dates } = deserialize(new Uint8Array(stock)) as Stock;
  const options = { population };
  const sums = emptyStock(dates, options);
  let checked = 0;
  for (;;) {
    const done = Atomics.add(taken, 0, BLOCK);
    if (done >= fillings) break;
    const block = Array.from(
      { length: Math.min(BLOCK, fillings - done) },
      (_, i) => posteriors[(done + i) % posteriors.length]!,
    );
    addToStock(sums, block, climate, options, (_index, values) => {
      checked += values[values.length - 1]!;
    });
  }
  return { sums, checked };
}

if (isMainThread) await main();
else parentPort!.postMessage(forecastShard(workerData as Shard));

async function main(): Promise<void> {
  const [learn = 10000, stock = 100000] = process.argv.slice(2).map(Number);
  const estate = richEstate(learn);
  console.log('learning           fillings  regauges  wall s  processor s  passes  ended');
  learnFrom(estate.histories.slice(0, Math.round(learn / 10)), estate.climate);
  const calibration = learnFrom(estate.histories, estate.climate);
  const { population } = calibration;
  // the stock as it lies: gauged never to five times
  const posteriors = estate.stock.map((f) => updateFilling(population, f, estate.climate));
  const dates = Array.from({ length: MONTHS + 1 }, (_, i) => {
    const month = 2024 * 12 + 3 + i;
    return `${String(Math.floor(month / 12))}-${String((month % 12) + 1).padStart(2, '0')}-01`;
  });
  console.log('\nforecast by month with intervals, in worker threads');
  console.log(
    'fillings  months  threads  wall s  processor s  µs a filling  ns a fill-month  peak MiB',
  );
  const shared = { posteriors, population, climate: estate.climate, dates };
  await forecastStock(shared, Math.round(stock / 10));
  await forecastStock(shared, stock);

  const ours = integrationCost();
  console.log(`\none month of one filling, integration alone: ${ours.toFixed(1)} ns here`);
  const folder = mkdtempSync(join(tmpdir(), 'rundlet-bench-'));
  try {
    const inC = integrationInC(folder, (file, text) => writeFileSync(file, text), compile);
    if (inC === null) console.log('no C compiler found: no comparison');
    else
      console.log(
        `the same loop in C at -O2: ${inC.toFixed(1)} ns; ratio ${(ours / inC).toFixed(2)}`,
      );
  } finally {
    rmSync(folder, { recursive: true, force: true });
  }
}

/** Compiles and runs a C source; null without a compiler. */
function compile(source: string, program: string): string | null {
  for (const compiler of ['cc', 'gcc', 'clang']) {
    try {
      execFileSync(compiler, ['-O2', '-o', program, source, '-lm'], { stdio: 'ignore' });
    } catch {
      continue;
    }
    return execFileSync(program, { encoding: 'utf8' });
  }
  return null;
}

/** An estate with four regauges a filling on the average. */
function richEstate(fillings: number): {
  histories: FillingHistory[];
  stock: FillingHistory[];
  climate: ClimateByZone;
} {
  // about three casks of four of this store are gauged at least twice
  const bundle = simulateStore(2, 5, Math.round(1.7 * fillings)).bundle;
  const all = fillingsOf(bundle);
  const gauged = all.filter((f) => f.regauges.length >= 2);
  const rich = gauged
    .sort((a, b) => b.regauges.length - a.regauges.length || (a.id < b.id ? -1 : 1))
    .slice(0, fillings);
  return {
    stock: all.slice(0, STOCK_DRAWN),
    histories: rich.sort((a, b) => (a.id < b.id ? -1 : 1)),
    climate: climateOfFloors(bundle),
  };
}

function learnFrom(histories: readonly FillingHistory[], climate: ClimateByZone) {
  const processor = process.cpuUsage();
  const start = performance.now();
  const calibration = calibrate(histories, climate);
  const wall = (performance.now() - start) / 1000;
  const used = process.cpuUsage(processor);
  const { population } = calibration;
  console.log(
    [
      ''.padEnd(17),
      String(histories.length).padStart(9),
      String(population.regauges).padStart(9),
      wall.toFixed(1).padStart(7),
      ((used.user + used.system) / 1e6).toFixed(1).padStart(12),
      String(population.iterations).padStart(7),
      population.status,
    ].join(' '),
  );
  return calibration;
}

async function forecastStock(stock: Stock, fillings: number): Promise<void> {
  const threads = Math.min(2, availableParallelism());
  const processor = process.cpuUsage();
  const start = performance.now();
  const written = serialize(stock);
  const workerData: Shard = {
    stock: new SharedArrayBuffer(written.length),
    fillings,
    taken: new Int32Array(new SharedArrayBuffer(4)),
  };
  new Uint8Array(workerData.stock).set(written);
  let peak = 0;
  const watch = setInterval(() => (peak = Math.max(peak, process.memoryUsage().rss)), 20);
  const parts = await Promise.all(
    Array.from(
      { length: threads },
      () =>
        new Promise<{ sums: StockSums; checked: number }>((resolve, reject) => {
          const worker = new Worker(new URL(import.meta.url), {
            workerData,
            resourceLimits: { maxYoungGenerationSizeMb: YOUNG_HEAP_MB },
          });
          worker.once('message', resolve);
          worker.once('error', reject);
        }),
    ),
  );
  const sums = parts.map((p) => p.sums).reduce(addStocks);
  const points = finishStock(sums, { population: stock.population });
  const wall = (performance.now() - start) / 1000;
  clearInterval(watch);
  const used = process.cpuUsage(processor);
  if (points.at(-1)!.fillings !== fillings || !parts.every((p) => Number.isFinite(p.checked))) {
    throw new Error('the stock forecast is not whole');
  }
  console.log(
    [
      String(fillings).padStart(8),
      String(MONTHS).padStart(7),
      String(threads).padStart(8),
      wall.toFixed(1).padStart(7),
      ((used.user + used.system) / 1e6).toFixed(1).padStart(12),
      ((1e6 * wall) / fillings).toFixed(0).padStart(13),
      ((1e9 * wall) / fillings / MONTHS).toFixed(0).padStart(16),
      (peak / 2 ** 20).toFixed(0).padStart(9),
    ].join(' '),
  );
}
