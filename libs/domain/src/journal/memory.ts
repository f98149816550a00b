import {
  REVERSING_KINDS,
  type ActKind,
  type JournalEntry,
  type RecordKind,
  type RecordOf,
} from '@rundlet/contracts';
import { canonicalJson, inCanonicalOrder } from '@rundlet/statements';
import { isRunning } from '../stocktake/lines.ts';
import { MonthSums } from '../account/sums.ts';
import type {
  Effect,
  JournalStore,
  MadeKind,
  PostingSum,
  RecordStore,
  UniqueKey,
} from './ports.ts';
import type { Sha256Hex } from './seal.ts';

type AnyRecord = RecordOf<RecordKind>;

/** Where texts are put down, each under a number. */
export interface TextShelf {
  put(text: string): number;
  at(place: number): string;
  hashAt(place: number, sha: Sha256Hex): string;
}
class PlainShelf implements TextShelf {
  readonly #texts: string[] = [];
  put = (text: string): number => this.#texts.push(flat(text)) - 1;
  at = (place: number): string => this.#texts[place] ?? '';
  hashAt = (place: number, sha: Sha256Hex): string => sha(this.at(place));
}

/**
 * The state in memory: for verifying a journal by folding it anew, and for tests. Records of the kinds named at the start are
 * kept as canonical JSON on a shelf, which is half as large and nothing for the garbage collector to walk through.
 */
export class MemoryRecords implements RecordStore {
  readonly #byKind = new Map<RecordKind, Map<string, AnyRecord | number>>();
  readonly #asText: ReadonlySet<RecordKind>;
  readonly #shelf: TextShelf;
  readonly #unique = new Map<string, string>();
  readonly #postings = new Map<string, RecordOf<'posting'>[]>();
  readonly #sums = new MonthSums();
  readonly #lines = new Map<string, Set<string>>();
  readonly #linesOfCask = new Map<string, Set<string>>();

  constructor(asText: readonly RecordKind[] = [], shelf: TextShelf = new PlainShelf()) {
    this.#asText = new Set(asText);
    this.#shelf = shelf;
  }

  all<K extends RecordKind>(kind: K): RecordOf<K>[] {
    return [...this.each(kind)];
  }
  /** Like {@link all}, one after another: for more than fit into memory at once. */
  *each<K extends RecordKind>(kind: K): Generator<RecordOf<K>> {
    for (const kept of this.#byKind.get(kind)?.values() ?? []) yield this.#recordOf<K>(kept);
  }
  get size(): number {
    let n = 0;
    for (const table of this.#byKind.values()) n += table.size;
    return n;
  }
  peek<K extends RecordKind>(kind: K, id: string): RecordOf<K> | null {
    const kept = this.#byKind.get(kind)?.get(id);
    return kept === undefined ? null : this.#recordOf<K>(kept);
  }
  /** What the record's canonical JSON hashes to, or null when there is no record. */
  hashOf(kind: RecordKind, id: string, sha: Sha256Hex): string | null {
    const kept = this.#byKind.get(kind)?.get(id);
    if (kept === undefined) return null;
    return typeof kept === 'number' ? this.#shelf.hashAt(kept, sha) : sha(canonicalJson(kept));
  }
  async get<K extends RecordKind>(kind: K, id: string): Promise<RecordOf<K> | null> {
    return this.peek(kind, id);
  }
  /** Lets go of a record for good; look-ups by code and the like are not kept up. */
  forget(kind: RecordKind, id: string): void {
    this.#byKind.get(kind)?.delete(id);
  }
  /** Every record of every kind. */
  *everything(): Generator<{ kind: RecordKind; record: RecordOf<RecordKind> }> {
    for (const kind of this.#byKind.keys())
      for (const record of this.each(kind)) yield { kind, record };
  }

  put<K extends RecordKind>(kind: K, record: RecordOf<K>): void {
    const { id } = record as { id: string };
    let table = this.#byKind.get(kind);
    if (!table) this.#byKind.set(kind, (table = new Map<string, AnyRecord | number>()));
    const before = table.get(id);
    if (before !== undefined) this.#index(kind, this.#recordOf(before), false);
    table.set(
      id,
      this.#asText.has(kind) ? this.#shelf.put(canonicalJson(record)) : inCanonicalOrder(record),
    );
    this.#index(kind, record, true);
  }
  remove(kind: RecordKind, id: string): void {
    const record = this.peek(kind, id);
    if (record) this.#index(kind, record, false);
    this.forget(kind, id);
  }

  async idByUnique(kind: RecordKind, key: UniqueKey, value: string): Promise<string | null> {
    return this.#unique.get(`${kind}:${key}:${value}`) ?? null;
  }
  async casksInScope(scope: {
    storeId: string;
    zoneIds: readonly string[];
    rows: readonly string[];
  }): Promise<RecordOf<'cask'>[]> {
    return this.all('cask')
      .filter(
        (c) =>
          c.storeId === scope.storeId &&
          (scope.zoneIds.length === 0 || scope.zoneIds.includes(c.zoneId ?? '')),
      )
      .filter(
        (c) =>
          scope.rows.length === 0 ||
          scope.rows.includes(this.peek('position', c.positionId ?? '')?.row ?? ''),
      )
      .sort((a, b) => (a.code < b.code ? -1 : 1));
  }
  async stocktakeLines(stocktakeId: string): Promise<RecordOf<'stocktake-line'>[]> {
    return this.#linesIn(this.#lines.get(stocktakeId));
  }
  async openStocktakeLines(caskId: string): Promise<RecordOf<'stocktake-line'>[]> {
    return this.#linesIn(this.#linesOfCask.get(caskId)).filter((line) =>
      isRunning(this.peek('stocktake', line.stocktakeId)),
    );
  }
  async openHeldActs(): Promise<RecordOf<'held-act'>[]> {
    return this.all('held-act').filter((held) => held.status === 'open');
  }
  async postingsOfEntry(entryId: string): Promise<RecordOf<'posting'>[]> {
    return this.#postings.get(entryId) ?? [];
  }
  async madeOf<K extends MadeKind>(kind: K, inputId: string): Promise<RecordOf<K>[]> {
    return this.all(kind).filter((record) => inputsOf(record).includes(inputId));
  }
  /** Folding doesn't ask for the lines of an entry once it is past. */
  forgetPostingsOf(entryId: string): void {
    this.#postings.delete(entryId);
  }

  async postingSums(months: { from: string; to: string }): Promise<PostingSum[]> {
    return this.#sums.of(months);
  }

  #linesIn(ids: Set<string> | undefined): RecordOf<'stocktake-line'>[] {
    return [...(ids ?? [])].sort().flatMap((id) => this.peek('stocktake-line', id) ?? []);
  }

  #recordOf<K extends RecordKind>(kept: AnyRecord | number): RecordOf<K> {
    return (typeof kept === 'number' ? JSON.parse(this.#shelf.at(kept)) : kept) as RecordOf<K>;
  }

  /** Keeps up what records are found by: one that has come, or one that is gone. */
  #index(kind: RecordKind, record: AnyRecord, on: boolean): void {
    const set = (key: string, value: string) =>
      on ? this.#unique.set(key, value) : this.#unique.delete(key);
    if ('code' in record && kind !== 'stocktake-line' && kind !== 'filling')
      set(`${kind}:code:${record.code}`, record.id);
    if (kind === 'cask')
      for (const alias of (record as RecordOf<'cask'>).aliases)
        set(`cask:alias:${alias}`, (record as RecordOf<'cask'>).id);
    if (kind === 'posting' && on) {
      const posting = record as RecordOf<'posting'>;
      this.#sums.add(posting);
      const list = this.#postings.get(posting.entryId);
      if (list) list.push(posting);
      else this.#postings.set(posting.entryId, [posting]);
    }
    if (kind === 'stocktake-line') {
      const line = record as RecordOf<'stocktake-line'>;
      change(this.#lines, line.stocktakeId, line.id, on);
      if (line.caskId) change(this.#linesOfCask, line.caskId, line.id, on);
    }
  }
}

/** What a step of the chain was made of, by id. */
export function inputsOf(record: RecordOf<MadeKind>): string[] {
  if ('plotId' in record) return [record.plotId];
  return record.inputs.map((input) =>
    'fermentId' in input
      ? input.fermentId
      : 'stillRunId' in input
        ? input.stillRunId
        : input.harvestLotId,
  );
}

/** A text put together piece by piece is a tree of its pieces until it is read; reading it makes it one. */
function flat(text: string): string {
  text.charCodeAt(text.length - 1);
  return text;
}

function change(map: Map<string, Set<string>>, key: string, value: string, on: boolean): void {
  const set = map.get(key) ?? new Set();
  if (on) set.add(value);
  else set.delete(value);
  map.set(key, set);
}

export class MemoryJournal implements JournalStore {
  readonly entries: JournalEntry[] = [];
  readonly #byId = new Map<string, JournalEntry>();
  readonly #effects = new Map<string, Effect[]>();
  readonly #reversals = new Map<string, string>();

  async byId(id: string): Promise<JournalEntry | null> {
    return this.#byId.get(id) ?? null;
  }
  async last(): Promise<{ seq: number; hash: string } | null> {
    return this.entries.at(-1) ?? null;
  }
  async effectsOf(entryId: string): Promise<Effect[] | null> {
    return this.#effects.get(entryId) ?? null;
  }
  async reversalOf(entryId: string): Promise<string | null> {
    return this.#reversals.get(entryId) ?? null;
  }
  async standingAbout(subject: string, kinds: readonly ActKind[]): Promise<JournalEntry[]> {
    return this.entries
      .filter(
        (e) => kinds.includes(e.kind) && e.subjects.includes(subject) && !this.#reversals.has(e.id),
      )
      .reverse();
  }
  async append(entry: JournalEntry, effects: readonly Effect[]): Promise<void> {
    this.entries.push(entry);
    this.#byId.set(entry.id, entry);
    this.#effects.set(entry.id, [...effects]);
    if (REVERSING_KINDS.includes(entry.kind))
      this.#reversals.set((entry.body as { entryId: string }).entryId, entry.id);
  }
}
