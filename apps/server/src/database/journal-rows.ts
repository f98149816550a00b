import { REVERSING_KINDS, type ActKind, type JournalEntry } from '@rundlet/contracts';
import {
  canonicalJson,
  entryOf,
  GENESIS_HASH,
  storedForm,
  storedHash,
  type Effect,
  type JournalStore,
  type Prepared,
  type StoredEntry,
} from '@rundlet/domain';
import sql, { join } from 'sql-template-tag';
import { sha256Hex } from '../journal/sha256.ts';
import type { Rows, WritableRows } from './rows.ts';

/** A row of the journal table. */
export type EntryRow = StoredEntry;
export const ENTRY_COLUMNS = sql`"seq", "id", "kind", "happenedAt", "receivedAt", "actorId", "deviceId", "body", "outcome", "subjects", "previousHash", "hash"`;

export { entryOf };

interface Appended {
  readonly entry: JournalEntry;
  readonly effects: readonly Effect[];
}

/** The journal as one transaction sees it; like {@link StateStore}, entries wait for `flush`. */
export class JournalRows implements JournalStore {
  readonly #rows: Rows;
  readonly #appended = new Map<string, Appended>();
  readonly #absent = new Set<string>();
  #last: JournalEntry | null = null;

  constructor(rows: Rows) {
    this.#rows = rows;
  }

  /** Which of these entries there are. Of the others it is remembered that there are none. */
  async present(ids: readonly string[]): Promise<ReadonlySet<string>> {
    const rows = await this.#rows.all<{ id: string }>(
      sql`SELECT "id" FROM "journal_entry" WHERE "id" IN (${join([...ids, ''])})`,
    );
    const present = new Set(rows.map((row) => row.id));
    for (const id of ids) if (!present.has(id)) this.#absent.add(id);
    return present;
  }

  async byId(id: string): Promise<JournalEntry | null> {
    const pending = this.#appended.get(id);
    if (pending) return pending.entry;
    if (this.#absent.has(id)) return null;
    const row = await this.#rows.one<EntryRow>(
      sql`SELECT ${ENTRY_COLUMNS} FROM "journal_entry" WHERE "id" = ${id}`,
    );
    return row && entryOf(row);
  }

  async last(): Promise<{ seq: number; hash: string } | null> {
    if (this.#last) return { seq: this.#last.seq, hash: this.#last.hash };
    return this.#rows.one(
      sql`SELECT "seq", "hash" FROM "journal_entry" ORDER BY "seq" DESC LIMIT 1`,
    );
  }

  async effectsOf(entryId: string): Promise<Effect[] | null> {
    const pending = this.#appended.get(entryId);
    if (pending) return [...pending.effects];
    const row = await this.#rows.one<{ effects: string }>(
      sql`SELECT "effects" FROM "entry_effect" WHERE "entryId" = ${entryId}`,
    );
    return row && (JSON.parse(row.effects) as Effect[]);
  }

  async reversalOf(entryId: string): Promise<string | null> {
    for (const { entry } of this.#appended.values())
      if (reversedEntry(entry) === entryId) return entry.id;
    const row = await this.#rows.one<{ id: string }>(
      sql`SELECT "id" FROM "journal_entry" WHERE "reversesEntryId" = ${entryId}`,
    );
    return row?.id ?? null;
  }

  async standingAbout(subject: string, kinds: readonly ActKind[]): Promise<JournalEntry[]> {
    const reversed = new Set([...this.#appended.values()].map(({ entry }) => reversedEntry(entry)));
    const pending = [...this.#appended.values()]
      .map(({ entry }) => entry)
      .filter((e) => kinds.includes(e.kind) && e.subjects.includes(subject))
      .reverse();
    const rows = await this.#rows.all<EntryRow>(
      sql`SELECT ${ENTRY_COLUMNS} FROM "journal_entry" e WHERE "kind" IN (${join([...kinds])})
          AND "seq" IN (SELECT "seq" FROM "journal_subject" WHERE "subject" = ${subject})
          AND NOT EXISTS (SELECT 1 FROM "journal_entry" r WHERE r."reversesEntryId" = e."id") ORDER BY "seq" DESC LIMIT 20`,
    );
    return [...pending, ...rows.map(entryOf)].filter((e) => !reversed.has(e.id));
  }

  async append(entry: JournalEntry, effects: readonly Effect[]): Promise<void> {
    this.#appended.set(entry.id, { entry, effects });
    this.#last = entry;
  }

  async flush(tx: WritableRows): Promise<void> {
    const appended = [...this.#appended.values()];
    await insertEntries(
      tx,
      appended.map(({ entry, effects }) => ({
        entry: storedForm(entry),
        ...besides(entry, effects),
      })),
    );
  }
}

/** An entry in the form it is stored in, without its place in the chain. */
export interface UnsealedRow {
  readonly entry: Omit<StoredEntry, 'seq' | 'previousHash' | 'hash'>;
  readonly about: readonly string[];
  readonly reverses: string | null;
  /** As canonical JSON. */
  readonly effects: string;
}
type SealedRow = UnsealedRow & { readonly entry: StoredEntry };

export const unsealedRow = ({ entry, effects }: Prepared): UnsealedRow => ({
  entry: storedForm(entry),
  ...besides(entry, effects),
});

const besides = (entry: Prepared['entry'], effects: readonly Effect[]) => ({
  about: entry.subjects,
  reverses: reversedEntry(entry),
  effects: canonicalJson(effects),
});

/** Gives entries their places at the end of the chain. @returns the last one's */
export async function appendUnsealed(
  tx: WritableRows,
  rows: readonly UnsealedRow[],
): Promise<number> {
  const last = await new JournalRows(tx).last();
  let { seq, hash } = last ?? { seq: 0, hash: GENESIS_HASH };
  const sealed = rows.map((row): SealedRow => {
    const entry = { ...row.entry, seq: (seq += 1), previousHash: hash, hash: '' };
    hash = storedHash(entry, sha256Hex);
    return { ...row, entry: { ...entry, hash } };
  });
  await insertEntries(tx, sealed);
  return seq;
}

async function insertEntries(tx: WritableRows, rows: readonly SealedRow[]): Promise<void> {
  await tx.insertMany(
    'journal_entry',
    [
      'seq',
      'id',
      'kind',
      'happenedAt',
      'receivedAt',
      'actorId',
      'deviceId',
      'body',
      'outcome',
      'subjects',
      'previousHash',
      'hash',
      'reversesEntryId',
    ],
    rows.map(({ entry: e, reverses }) => [
      e.seq,
      e.id,
      e.kind,
      e.happenedAt,
      e.receivedAt,
      e.actorId,
      e.deviceId,
      e.body,
      e.outcome,
      e.subjects,
      e.previousHash,
      e.hash,
      reverses,
    ]),
  );
  const subjects = rows.flatMap(({ entry, about }) =>
    [...new Set(about)].map((subject) => [subject, entry.seq]),
  );
  await tx.insertMany('journal_subject', ['subject', 'seq'], subjects);
  const effects = rows.map(({ entry, effects: of }) => [entry.id, of]);
  await tx.insertMany('entry_effect', ['entryId', 'effects'], effects);
}

function reversedEntry(entry: Pick<JournalEntry, 'kind' | 'body'>): string | null {
  return REVERSING_KINDS.includes(entry.kind) ? (entry.body['entryId'] as string) : null;
}
