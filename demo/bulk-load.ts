import { RECORD_KINDS, type Act, type RecordKind, type RecordOf } from '@rundlet/contracts';
import {
  canonicalJson,
  MemoryRecords,
  NO_FORECAST,
  submitAct,
  type JournalStore,
} from '@rundlet/domain';
import type { Connections } from '../apps/server/src/database/data-source.ts';
import { JournalRows } from '../apps/server/src/database/journal-rows.ts';
import type { WritableRows } from '../apps/server/src/database/rows.ts';
import { insertRecords } from '../apps/server/src/database/state-table.ts';
import { sumAnew } from '../apps/server/src/database/sums.ts';
import { stateTableOf } from '../apps/server/src/database/state-tables.ts';
import { UnitOfWork } from '../apps/server/src/database/unit-of-work.ts';
import { sha256Hex } from '../apps/server/src/journal/sha256.ts';

/** Entries, or records, written in one transaction. */
const TOGETHER = 5000;
/** Records that no later act of a story looks at or changes: they go to the database at once. */
const WRITTEN_ONCE: readonly RecordKind[] = ['posting', 'filling-event', 'sample', 'gauge'];
/** Kept as text: half the memory, and nothing for the garbage collector to walk through. */
const KEPT_AS_TEXT: readonly RecordKind[] = ['cask', 'filling', 'position', 'stocktake-line'];

/**
 * Decides and folds a story's acts in memory and writes journal and state straight into an empty database: some thousand acts a
 * second, where the API takes some hundred. The journal verifies like any other. A load that is cut off has to begin anew.
 * Only for stories that neither reverse entries nor judge gauges.
 * @throws RangeError when the journal is not empty; DomainError when an act is refused
 */
export async function bulkLoad(
  connections: Connections,
  story: Iterable<readonly Act[]>,
  actorOf: (act: Act) => string,
  tell: (entries: number, act: Act) => void,
): Promise<{ entries: number; records: number }> {
  const work = new UnitOfWork(connections);
  await work.write(async (tx) => {
    if (await new JournalRows(tx).last()) throw new RangeError('The journal is not empty.');
  }, 'journal');
  const records = new MemoryRecords(KEPT_AS_TEXT);
  const written = { entries: 0, records: 0 };
  const journal = new PendingJournal();
  let writing: Promise<void> = Promise.resolve();
  const flush = async (): Promise<void> => {
    // One batch is written while the next is folded.
    await writing;
    const entries = journal.taken();
    const once = WRITTEN_ONCE.map((kind) => [kind, taken(records, kind)] as const);
    written.entries += entries.length;
    written.records += once.reduce((sum, [, of]) => sum + of.length, 0);
    writing = work.write(async (tx) => {
      const rows = new JournalRows(tx);
      for (const { entry, effects } of entries) await rows.append(entry, effects);
      await rows.flush(tx);
      for (const [kind, of] of once) await insert(tx, kind, of);
    });
    // Told when it is waited for.
    writing.catch(() => undefined);
  };
  for (const acts of story)
    for (const act of acts) {
      const { entry } = await submitAct(act, {
        actorId: actorOf(act),
        receivedAt: act.happenedAt,
        records,
        journal,
        forecast: NO_FORECAST,
        sha256Hex,
      });
      records.forgetPostingsOf(entry.id);
      if (journal.size >= TOGETHER) {
        await flush();
        tell(written.entries, act);
      }
    }
  await flush();
  await writing;
  for (const kind of RECORD_KINDS)
    for (const part of inParts(records.each(kind), TOGETHER)) {
      written.records += part.length;
      await work.write((tx) => insert(tx, kind, part));
    }
  await work.write(sumAnew);
  return written;
}

/** The journal while nothing but the end of its chain is asked for. */
class PendingJournal implements JournalStore {
  #pending: {
    entry: Parameters<JournalStore['append']>[0];
    effects: Parameters<JournalStore['append']>[1];
  }[] = [];
  #last: { seq: number; hash: string } | null = null;

  get size(): number {
    return this.#pending.length;
  }
  taken() {
    return this.#pending.splice(0);
  }
  byId = async () => null;
  last = async () => this.#last;
  effectsOf = async () => null;
  reversalOf = async () => null;
  standingAbout = async () => [];
  append: JournalStore['append'] = async (entry, effects) => {
    this.#pending.push({ entry, effects });
    this.#last = entry;
  };
}

function taken<K extends RecordKind>(records: MemoryRecords, kind: K): RecordOf<K>[] {
  const all = records.all(kind);
  for (const { id } of all) records.forget(kind, id);
  return all;
}

const insert = <K extends RecordKind>(
  tx: WritableRows,
  kind: K,
  of: readonly RecordOf<K>[],
): Promise<void> =>
  insertRecords(
    stateTableOf(kind),
    of.map((record) => [record, canonicalJson(record)]),
    (...rows) => tx.insertMany(...rows),
  );

function* inParts<T>(items: Iterable<T>, most: number): Generator<T[]> {
  let part: T[] = [];
  for (const item of items) {
    part.push(item);
    if (part.length === most) {
      yield part;
      part = [];
    }
  }
  if (part.length > 0) yield part;
}
