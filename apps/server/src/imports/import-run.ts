import type { ImportKind, ImportReport } from '@rundlet/contracts';
import type { ForecastPort } from '@rundlet/domain';
import { JournalRows, unsealedRow, type UnsealedRow } from '../database/journal-rows.ts';
import { RecordedWrites, type RecordedCalls } from '../database/recorded-writes.ts';
import type { Rows } from '../database/rows.ts';
import { StateStore } from '../database/state-store.ts';
import { sha256Hex } from '../journal/sha256.ts';
import { casks, regauges } from './cask-imports.ts';
import type { CsvRow, RowError } from './csv-rows.ts';
import { ImportFile, type Context } from './import-file.ts';
import type { ImportKindReader } from './import-kind.ts';
import {
  ferments,
  harvestLots,
  plots,
  positions,
  spiritLots,
  stillRuns,
} from './lineage-imports.ts';

const READERS: Readonly<Record<ImportKind, ImportKindReader>> = {
  casks,
  regauges,
  plots,
  'harvest-lots': harvestLots,
  ferments,
  'still-runs': stillRuns,
  'spirit-lots': spiritLots,
  positions,
};
/** Records of a row that no later row asks for. */
const LET_GO = ['cask', 'filling', 'filling-event', 'posting', 'gauge'] as const;
/** What looking through takes of the whole, about. */
const SHARE_OF_REHEARSAL = 0.35;
/** Rows that others come in the way of again and again are tried so often. */
const MOST_TRIES = 20;

/** What is known of the journal's end, and the time. */
export interface JournalEnd {
  readonly seq: number;
  readonly now: string;
}
/** Entries to be written together, and what they were worked out from. */
export interface Batch {
  readonly entries: readonly UnsealedRow[];
  readonly writes: RecordedCalls;
  /** See {@link StateStore.restsOn} and {@link StateStore.unowned}. */
  readonly restsOn: readonly string[];
  readonly unowned: readonly string[];
  /** No entry after this one has been taken into account but those that the import has written itself meanwhile. */
  readonly basis: number;
  readonly own: { readonly after: number; readonly to: number };
}
export type Written = JournalEnd & {
  /** The entry that theirs follow; null when others' entries came in the way and nothing was written. */
  readonly after: number | null;
};

/** What an import needs of those who may write. */
export interface ImportHands {
  end(): Promise<JournalEnd>;
  write(batch: Batch): Promise<Written>;
  readonly forecast: ForecastPort;
}
export interface ImportOrder {
  readonly kind: ImportKind;
  readonly apply: boolean;
  readonly by: string;
}
interface Watch {
  progress(share: number, detail: { doing: 'looking-through' | 'bringing-in'; rows: number }): void;
  shouldStop(): boolean;
}

/**
 * CSV files of rows: each row becomes acts. The whole file is rehearsed first, and nothing is written when a row is refused. Then
 * it is written some rows at a time, so that others' acts get their turn; a row that one of those came in the way of is left out whole
 * and told. The same file sent again, after it was cut off perhaps, adds the rows that are still missing.
 */
export async function runImport(
  { kind, apply, by }: ImportOrder,
  text: () => AsyncIterable<string>,
  database: Rows,
  hands: ImportHands,
  watch: Watch,
): Promise<ImportReport> {
  const file = new ImportFile(READERS[kind], text, database);
  const run = new ImportRun(file, database, hands, by);
  const { rows, errors } = await file.scan();
  const told = (doing: 'looking-through' | 'bringing-in', from: number, to: number) => {
    let done = 0;
    return (more: number): boolean => {
      done += more;
      watch.progress(from + ((to - from) * done) / Math.max(rows, 1), { doing, rows: done });
      return !watch.shouldStop();
    };
  };
  const share = apply ? SHARE_OF_REHEARSAL : 1;
  const faults = await run.rehearse(told('looking-through', 0, share));
  const rowsGood = rows - new Set(faults.map(({ line }) => line)).size;
  for (const fault of faults) errors.push(fault);
  errors.sort((a, b) => a.line - b.line);
  if (!apply || errors.length > 0 || watch.shouldStop())
    return { rowsRead: rows, rowsGood, errors, applied: false };
  const { refused, done } = await run.write(told('bringing-in', share, 1));
  return { rowsRead: rows, rowsGood: done, errors: refused, applied: true };
}

interface Decided {
  readonly all: readonly CsvRow[];
  readonly rows: readonly CsvRow[];
  /** Of rows left out. */
  readonly errors: readonly RowError[];
  readonly records: StateStore;
  readonly basis: number;
  readonly serialBefore: number;
  readonly batch: Pick<Batch, 'entries' | 'writes'>;
}

class ImportRun {
  readonly #file: ImportFile;
  readonly #database: Rows;
  readonly #hands: ImportHands;
  readonly #by: string;
  #end: JournalEnd = { seq: 0, now: '' };
  #own = { after: 0, to: 0 };

  constructor(file: ImportFile, database: Rows, hands: ImportHands, by: string) {
    this.#file = file;
    this.#database = database;
    this.#hands = hands;
    this.#by = by;
  }

  /** Does everything but write: the changes stay in memory and are forgotten. */
  async rehearse(goOn: (rows: number) => boolean): Promise<RowError[]> {
    this.#end = await this.#hands.end();
    const records = new StateStore(this.#database);
    const errors: RowError[] = [];
    for await (const rows of this.#file.parts()) {
      const decided = await this.#file.decide(rows, this.#context(records), true);
      for (const error of decided.errors) errors.push(error);
      records.forget(LET_GO);
      if (!goOn(rows.length)) break;
    }
    return errors;
  }

  /** Rows are decided while those before them are being written. */
  async write(goOn: (rows: number) => boolean): Promise<{ refused: RowError[]; done: number }> {
    this.#end = await this.#hands.end();
    const refused: RowError[] = [];
    let done = 0;
    const finish = async (decided: Decided, written: Promise<Written>): Promise<boolean> => {
      const so = await this.#untilWritten(decided, await written);
      for (const error of so.errors) refused.push(error);
      done += so.rows.length;
      return so === decided;
    };
    let before: { decided: Decided; written: Promise<Written> } | null = null;
    for await (const rows of this.#file.parts()) {
      let decided: Decided = await this.#decide(rows, before?.decided.records);
      if (before && !(await finish(before.decided, before.written)))
        decided = await this.#decideAgain(decided);
      const written = this.#send(decided);
      // Told when it is waited for.
      written.catch(() => undefined);
      before = { decided, written };
      if (!goOn(rows.length)) break;
    }
    if (before) await finish(before.decided, before.written);
    return { refused, done };
  }

  async #untilWritten(first: Decided, answer: Written): Promise<Decided> {
    let decided = first;
    let written = answer;
    for (let tries = 1; written.after === null; tries++) {
      if (tries === MOST_TRIES)
        throw new Error('Others wrote about the same records all the time. Send the file again.');
      this.#note(written);
      decided = await this.#decideAgain(decided);
      written = await this.#send(decided);
    }
    this.#note(written);
    return decided;
  }

  #note({ seq, now, after }: Written): void {
    if (after !== null) this.#own = { after, to: seq };
    this.#end = { seq, now };
  }

  #decideAgain({ all, serialBefore }: Decided): Promise<Decided> {
    this.#file.serial = serialBefore;
    return this.#decide(all);
  }

  /** Decides what can be: rows that are refused are left out whole. */
  async #decide(all: readonly CsvRow[], underway?: StateStore): Promise<Decided> {
    const errors: RowError[] = [];
    const serialBefore = this.#file.serial;
    const { seq: basis } = this.#end;
    for (let rows = all; ;) {
      const records = new StateStore(this.#database, underway);
      const decided = await this.#file.decide(rows, this.#context(records), false);
      if (decided.errors.length === 0) {
        const writes = new RecordedWrites();
        await records.flush(writes);
        const entries = decided.prepared.map(unsealedRow);
        const batch = { entries, writes: writes.calls };
        return { all, rows, errors, records, basis, serialBefore, batch };
      }
      for (const error of decided.errors) errors.push(error);
      const lines = new Set(decided.errors.map(({ line }) => line));
      rows = rows.filter(({ line }) => !lines.has(line));
      this.#file.serial = serialBefore;
    }
  }

  #send({ batch, records, basis }: Decided): Promise<Written> {
    const restsOn = [...records.restsOn];
    return this.#hands.write({
      ...batch,
      restsOn,
      unowned: records.unowned(),
      basis,
      own: this.#own,
    });
  }

  #context(records: StateStore): Context {
    const { forecast } = this.#hands;
    const journal = new JournalRows(this.#database);
    return {
      actorId: this.#by,
      receivedAt: this.#end.now,
      forecast,
      sha256Hex,
      records,
      journal,
    };
  }
}
