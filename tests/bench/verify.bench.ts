/**
 * How fast a journal is verified: a synthetic journal of an estate (fills, gauges, moves, samples, vattings, refills) in a
 * SQLite file, read, its chain checked, folded anew and compared with every state record.
 *
 *     npm run bench -- verify                              100,000 entries
 *     RUNDLET_BENCH_ENTRIES=1000000 npm run bench -- verify
 */
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import {
  RECORD_KINDS,
  type ActOf,
  type JournalEntry,
  type SubmittableKind,
} from '@rundlet/contracts';
import { canonicalJson, sha256Hex, storedHash, submitAct } from '@rundlet/domain';
import { connect, disconnect } from '../../apps/server/src/database/data-source.ts';
import { JournalRows } from '../../apps/server/src/database/journal-rows.ts';
import { listRowsOf, rowOf } from '../../apps/server/src/database/state-table.ts';
import { stateTableOf } from '../../apps/server/src/database/state-tables.ts';
import { UnitOfWork } from '../../apps/server/src/database/unit-of-work.ts';
import { sha256Hex as nodeSha256Hex } from '../../apps/server/src/journal/sha256.ts';
import { verifyDatabase } from '../../apps/server/src/journal/verification.ts';
import { day, TestEstate } from '../support/memory-estate.ts';

const ENTRIES = Number(process.env['RUNDLET_BENCH_ENTRIES'] ?? 100_000);
const TARGET = { entries: 1_000_000, seconds: 90 };

const folder = mkdtempSync(join(tmpdir(), 'rundlet-bench-'));
const url = `sqlite:${join(folder, 'journal.sqlite')}`;
const say = (line: string): void => void process.stdout.write(`${line}\n`);
try {
  const estate = await writeJournal();
  say(
    `a synthetic journal of ${String(estate.entries)} entries and ${String(estate.records)} records, written in ${estate.seconds.toFixed(0)} s`,
  );
  for (let round = 0; round < 2; round++) {
    const [before, cpu] = [performance.now(), process.cpuUsage()];
    const report = await verifyDatabase(url);
    const seconds = (performance.now() - before) / 1000;
    const { user, system } = process.cpuUsage(cpu);
    if (!report.ok) throw new Error(JSON.stringify(report.failures[0]));
    const perSecond = report.entries / seconds;
    say(
      `verified ${String(report.entries)} entries and ${String(report.records)} records in ${seconds.toFixed(1)} s (${((user + system) / 1e6).toFixed(1)} s of processor): ${perSecond.toFixed(0)} entries/s; ${String(TARGET.entries)} would take ${(TARGET.entries / perSecond).toFixed(0)} s against a target of ${String(TARGET.seconds)} s; memory ${(process.memoryUsage().rss / 1e6).toFixed(0)} MB`,
    );
  }
  hashing(estate.sample);
} finally {
  rmSync(folder, { recursive: true });
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

async function writeJournal() {
  const began = performance.now();
  const connections = await connect(url);
  const work = new UnitOfWork(connections);
  const e = new TestEstate();
  const casks = Math.max(50, Math.round(ENTRIES / 20));
  await e.build(casks);
  const sample = e.journal.entries.slice(-2000);
  let written = 0;
  const flush = async () => {
    await work.write(async (tx) => {
      const rows = new JournalRows(tx);
      for (const entry of e.journal.entries.splice(0)) {
        await rows.append(entry, (await e.journal.effectsOf(entry.id)) ?? []);
        written += 1;
      }
      await rows.flush(tx);
    });
  };
  const declared = (bulkLitresAt20C: number, strengthPercentVol: number) =>
    ({ method: 'declared', bulkLitresAt20C, strengthPercentVol }) as const;
  let at = 1;
  let last = e.journal.entries.at(-1);
  const does = async <K extends SubmittableKind>(
    kind: K,
    body: ActOf<K>['body'],
  ): Promise<void> => {
    at += 3000 / ENTRIES;
    const act = e.make(kind, body, day(at));
    const done = await submitAct(act, {
      actorId: 'operative',
      receivedAt: day(4000),
      journal: Object.assign(Object.create(e.journal) as typeof e.journal, {
        byId: async () => null,
        last: async () => last ?? null,
        append: e.journal.append.bind(e.journal),
        effectsOf: e.journal.effectsOf.bind(e.journal),
        reversalOf: e.journal.reversalOf.bind(e.journal),
      }),
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
        await tx.insertMany(
          table.name,
          table.columnNames,
          part.map((r) => rowOf(table, r, canonicalJson(r))),
        );
        for (const [name, list] of Object.entries(table.lists))
          await tx.insertMany(
            `${table.name}_${name}`,
            ['ownerId', 'value', ...(list.amount ? ['amount'] : [])],
            part.flatMap((r) => listRowsOf(list, r)),
          );
      });
  }
  await disconnect(connections);
  return { entries: written, records, seconds: (performance.now() - began) / 1000, sample };
}
