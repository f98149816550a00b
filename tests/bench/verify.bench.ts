/**
 * How fast a journal is verified: a synthetic journal of an estate (fills, gauges, moves, samples, vattings, refills) in a
 * SQLite file, read and hashed in one thread, folded anew and compared with every state record in another.
 *
 *     npm run bench -- verify                              100,000 and 1,000,000 entries (the larger takes a quarter of an hour to write)
 *     RUNDLET_BENCH_ENTRIES=100000 npm run bench -- verify
 *     RUNDLET_BENCH_JOURNALS=folder npm run bench -- verify     keeps the journals there, and takes those that are there
 */
import { spawnSync } from 'node:child_process';
import { existsSync, mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { dirname, join } from 'node:path';
import { fileURLToPath, pathToFileURL } from 'node:url';
import {
  type ActOf,
  type JournalEntry,
  RECORD_KINDS,
  type SubmittableKind,
} from '@rundlet/contracts';
import {
  canonicalJson,
  sha256Hex,
  storedHash,
  submitAct,
  type Effect,
  type JournalStore,
} from '@rundlet/domain';
import { rolldown } from 'rolldown';
import { connect, disconnect } from '../../apps/server/src/database/data-source.ts';
import { JournalRows } from '../../apps/server/src/database/journal-rows.ts';
import { insertRecords } from '../../apps/server/src/database/state-table.ts';
import { stateTableOf } from '../../apps/server/src/database/state-tables.ts';
import { sumAnew } from '../../apps/server/src/database/sums.ts';
import { UnitOfWork } from '../../apps/server/src/database/unit-of-work.ts';
import { sha256Hex as nodeSha256Hex } from '../../apps/server/src/journal/sha256.ts';
import { verifyDatabase } from '../../apps/server/src/journal/verification.ts';
import { day, TestEstate } from '../support/memory-estate.ts';

const TARGET = { entries: 1_000_000, seconds: 90 };
const say = (line: string): void => void process.stdout.write(`${line}\n`);

const [, self = '', task, file = '', count = ''] = process.argv;
// Each step is a process of its own, so that the memory told is that of the verification alone.
const inProcess = (...args: string[]): void => {
  const { status } = spawnSync(
    process.execPath,
    ['--max-semi-space-size=32', '--max-old-space-size=12000', self, ...args],
    { stdio: 'inherit' },
  );
  if (status !== 0) process.exit(1);
};
if (task === 'write') await writeJournal(file, Number(count));
else if (task === 'verify') await verify(file);
else {
  const kept = process.env['RUNDLET_BENCH_JOURNALS'];
  const folder = kept ?? mkdtempSync(join(tmpdir(), 'rundlet-bench-'));
  const sizes = (process.env['RUNDLET_BENCH_ENTRIES'] ?? '100000,1000000').split(',');
  try {
    for (const size of sizes) {
      const journal = join(folder, `journal-${size}.sqlite`);
      if (!existsSync(journal)) inProcess('write', journal, size);
      inProcess('verify', journal);
    }
  } finally {
    if (kept === undefined) rmSync(folder, { recursive: true });
  }
}

async function verify(journal: string): Promise<void> {
  const readingThread = await workerFile();
  const [before, cpu] = [performance.now(), process.cpuUsage()];
  let most = 0;
  const watch = setInterval(() => (most = Math.max(most, process.memoryUsage().rss)), 500);
  const report = await verifyDatabase(`sqlite:${journal}`, { readingThread });
  clearInterval(watch);
  const seconds = (performance.now() - before) / 1000;
  const { user, system } = process.cpuUsage(cpu);
  if (!report.ok) throw new Error(JSON.stringify(report.failures[0]));
  const perSecond = report.entries / seconds;
  const processor = (user + system) / 1e6;
  say(
    `verified ${String(report.entries)} entries and ${String(report.records)} records in ${seconds.toFixed(1)} s (${processor.toFixed(1)} s of processor in two threads, ${((processor / report.entries) * 1e6).toFixed(0)} µs an entry): ${perSecond.toFixed(0)} entries/s; ${String(TARGET.entries)} would take ${(TARGET.entries / perSecond).toFixed(0)} s against a target of ${String(TARGET.seconds)} s; memory at most ${(most / 1e6).toFixed(0)} MB`,
  );
}

/** The server's worker that reads for a verification, in one file. */
async function workerFile(): Promise<URL> {
  const here = dirname(fileURLToPath(import.meta.url));
  const bundle = await rolldown({
    input: join(here, '../../../apps/server/src/workers/journal.worker.ts'),
    platform: 'node',
    external: (id) => /^[^./]/.test(id) && !/^(@rundlet|@oxc-project)\//.test(id),
  });
  const path = join(here, 'journal.worker.mjs');
  await bundle.write({ file: path, format: 'esm' });
  await bundle.close();
  return pathToFileURL(path);
}

/** The bare hash of the chain, to see what share of the time it is. */
function hashing(sample: readonly JournalEntry[]): void {
  const stored = sample.map((e) => ({
    ...e,
    body: canonicalJson(e.body),
    outcome: canonicalJson(e.outcome),
    subjects: canonicalJson(e.subjects),
  }));
  const time = (sha: (text: string) => string): number => {
    const before = performance.now();
    for (const e of stored) storedHash(e, sha);
    return ((performance.now() - before) / stored.length) * 1000;
  };
  say(
    `the chain alone: ${time(nodeSha256Hex).toFixed(1)} µs an entry by Node's SHA-256, ${time(sha256Hex).toFixed(1)} µs by the portable one`,
  );
}

async function writeJournal(path: string, ENTRIES: number): Promise<void> {
  const began = performance.now();
  const connections = await connect(`sqlite:${path}`);
  await connections.writer.query('PRAGMA synchronous = OFF');
  const work = new UnitOfWork(connections);
  const e = new TestEstate();
  const casks = Math.max(50, Math.round(ENTRIES / 20));
  await e.build(casks);
  const sample = e.journal.entries.slice(-2000);
  const effects = new Map<string, readonly Effect[]>();
  let written = 0;
  const flush = async () => {
    await work.write(async (tx) => {
      const rows = new JournalRows(tx);
      for (const entry of e.journal.entries.splice(0)) {
        await rows.append(
          entry,
          effects.get(entry.id) ?? (await e.journal.effectsOf(entry.id)) ?? [],
        );
        written += 1;
      }
      effects.clear();
      await rows.flush(tx);
    });
  };
  const declared = (bulkLitresAt20C: number, strengthPercentVol: number) =>
    ({ method: 'declared', bulkLitresAt20C, strengthPercentVol }) as const;
  let at = 1;
  let last = e.journal.entries.at(-1);
  // Nothing is kept that no act asks for: a million entries would not fit otherwise.
  const journal: JournalStore = {
    byId: async () => null,
    last: async () => last ?? null,
    effectsOf: async () => null,
    reversalOf: async () => null,
    standingAbout: async () => [],
    append: async (entry, of) => {
      e.journal.entries.push(entry);
      effects.set(entry.id, of);
    },
  };
  const does = async <K extends SubmittableKind>(
    kind: K,
    body: ActOf<K>['body'],
  ): Promise<void> => {
    at += 3000 / ENTRIES;
    const act = e.make(kind, body, day(at));
    const done = await submitAct(act, {
      actorId: 'operative',
      receivedAt: day(4000),
      journal,
      records: e.records,
      forecast: { assess: async () => null },
      sha256Hex: nodeSha256Hex,
    });
    last = done.entry;
    if (e.journal.entries.length >= 2000) await flush();
  };
  let samples = 0;
  const [vat, blendVat] = e.vats;
  for (let round = 0; written + e.journal.entries.length < ENTRIES; round++)
    for (const [i, caskId] of e.casks.entries()) {
      if (written + e.journal.entries.length >= ENTRIES) break;
      const phase = round % 8;
      const filled = e.fillingOf(caskId);
      if (!filled) {
        if (i % 40 === 0 || (e.records.peek('vat', vat)?.figures.bulkLitresAt20C ?? 0) < 400)
          await does('spirit.receive', {
            vatId: vat,
            lotId: e.lots[i % 2] ?? '',
            readings: declared(6000, 66),
          });
        await does('cask.fill', {
          caskId,
          fillingId: e.newId(),
          vatId: vat,
          positionId: null,
          readings: declared(195 + (i % 9), 63 + (i % 5) / 10),
        });
      } else if (phase === 7 && i % 3 === 0) {
        await does('cask.disgorge', {
          caskId,
          vatId: blendVat,
          readings: null,
          bulkLitresAt20C: null,
          planId: null,
        });
        if (i % 30 === 0) {
          const held = e.records.peek('vat', blendVat)?.figures.bulkLitresAt20C ?? 0;
          await does('vat.deliver', {
            vatId: blendVat,
            bulkLitresAt20C: held * 0.9,
            to: 'a customer',
            kind: 'delivered',
          });
        }
      } else if (phase % 2 === 1) {
        const { bulkLitresAt20C, strengthPercentVol } = filled.figures;
        await does('cask.gauge', {
          caskId,
          readings: declared(bulkLitresAt20C * 0.985, strengthPercentVol - 0.05),
        });
      } else if (phase === 4) {
        samples += 1;
        await does('cask.sample', {
          caskId,
          sampleId: e.newId(),
          code: `S${String(samples)}`,
          bulkLitresAt20C: 0.2,
          purpose: 'nosing',
        });
      } else
        await does('cask.inspect', {
          caskId,
          condition: 'sound',
          finding: 'hoops tight, heads dry',
        });
    }
  await flush();
  let records = 0;
  for (const kind of RECORD_KINDS) {
    const table = stateTableOf(kind);
    const all = e.records.all(kind);
    records += all.length;
    for (let from = 0; from < all.length; from += 5000)
      await work.write(async (tx) => {
        const part = all.slice(from, from + 5000);
        await insertRecords(
          table,
          part.map((r) => [r, canonicalJson(r)]),
          (...rows) => tx.insertMany(...rows),
        );
      });
  }
  await work.write(sumAnew);
  await disconnect(connections);
  say(
    `a synthetic journal of ${String(written)} entries and ${String(records)} records, written in ${((performance.now() - began) / 1000).toFixed(0)} s`,
  );
  hashing(sample);
}
