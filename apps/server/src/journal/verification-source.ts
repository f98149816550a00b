import { storedHash, type StoredEntry } from '@rundlet/domain';
import sql from 'sql-template-tag';
import { DataSource } from 'typeorm';
import { CACHE_KIB, dataSourceOptions, dialectOf } from '../database/data-source.ts';
import { ENTRY_COLUMNS, type EntryRow } from '../database/journal-rows.ts';
import { Rows } from '../database/rows.ts';
import { sha256Hex } from './sha256.ts';
import { CHUNK, MOST_NAMED, storedState, type StatePortion } from './stored-state.ts';

/** Entries are larger and on their way to another thread: the more of them, the more the garbage collector has to carry along. */
const ENTRIES = 60;
/** Below the smallest number the column can hold: a row hidden under the first one is seen too. */
const BEFORE_ALL = -2_147_483_648;
const AFTER_ALL = 2_147_483_647;

export type ReadEntry = StoredEntry & {
  readonly effects: string;
  /** What its texts hash to. */
  readonly contentHash: string;
};
export interface StraySubject {
  readonly seq: number;
  readonly subject: string;
}

/** All that a verification reads of a database, as it stood at one moment. */
export interface VerificationSource {
  /** The number of the last entry. */
  lastSeq(): Promise<number | null>;
  entries(): AsyncIterable<readonly ReadEntry[]>;
  state(): AsyncIterable<StatePortion>;
  hashOf(seq: number): Promise<string | null>;
  seqOf(id: string): Promise<number | null>;
  /** Subjects of entries that have no row in the table they are looked up by. */
  subjectsMissing(): AsyncIterable<readonly StraySubject[]>;
  subjectRows(): Promise<number>;
  /** Rows of that table that no entry names. */
  subjectsBeside(): Promise<readonly StraySubject[]>;
  close(): Promise<void>;
}

/**
 * Reads in one transaction on a connection of its own, so that acts written meanwhile neither wait nor confuse it. Entries are
 * hashed here, so that a thread that only reads takes that off the one that folds.
 */
export async function openSource(url: string): Promise<VerificationSource> {
  const source = await new DataSource(dataSourceOptions(url)).initialize();
  const runner = source.createQueryRunner();
  const dialect = dialectOf(url);
  if (dialect === 'sqlite') await runner.query(`PRAGMA cache_size = -${String(CACHE_KIB)}`);
  await runner.query(
    dialect === 'postgres'
      ? 'BEGIN TRANSACTION ISOLATION LEVEL REPEATABLE READ, READ ONLY'
      : 'BEGIN',
  );
  const rows = new Rows(runner);
  const subjectsOfEntries = (after: number, through: number) =>
    dialect === 'postgres'
      ? sql`(SELECT "seq", jsonb_array_elements_text("subjects"::jsonb) AS "value" FROM "journal_entry" WHERE "seq" > ${after} AND "seq" <= ${through}) e`
      : sql`(SELECT j."seq", s."value" FROM "journal_entry" j, json_each(j."subjects") s WHERE j."seq" > ${after} AND j."seq" <= ${through}) e`;
  return {
    lastSeq: async () =>
      (await rows.one<{ seq: number | null }>(sql`SELECT MAX("seq") AS "seq" FROM "journal_entry"`))
        ?.seq ?? null,
    entries: () => entriesIn(rows),
    state: () => storedState(rows, dialect),
    hashOf: async (seq) =>
      (
        await rows.one<{ hash: string }>(
          sql`SELECT "hash" FROM "journal_entry" WHERE "seq" = ${seq}`,
        )
      )?.hash ?? null,
    seqOf: async (id) =>
      (await rows.one<{ seq: number }>(sql`SELECT "seq" FROM "journal_entry" WHERE "id" = ${id}`))
        ?.seq ?? null,
    async *subjectsMissing() {
      for (let after = BEFORE_ALL; ;) {
        const through = (
          await rows.one<{ seq: number | null }>(
            sql`SELECT MAX("seq") AS "seq" FROM (SELECT "seq" FROM "journal_entry" WHERE "seq" > ${after} ORDER BY "seq" LIMIT ${CHUNK}) AS c`,
          )
        )?.seq;
        if (typeof through !== 'number') return;
        yield await rows.all<StraySubject>(
          sql`SELECT e."seq" AS "seq", e."value" AS "subject" FROM ${subjectsOfEntries(after, through)}
              WHERE NOT EXISTS (SELECT 1 FROM "journal_subject" s WHERE s."subject" = e."value" AND s."seq" = e."seq") LIMIT ${MOST_NAMED}`,
        );
        after = through;
      }
    },
    subjectRows: async () =>
      Number(
        (await rows.one<{ n: number }>(sql`SELECT COUNT(*) AS "n" FROM "journal_subject"`))?.n ?? 0,
      ),
    subjectsBeside: () =>
      rows.all(
        sql`SELECT s."seq" AS "seq", s."subject" AS "subject" FROM "journal_subject" s
            EXCEPT SELECT e."seq", e."value" FROM ${subjectsOfEntries(BEFORE_ALL, AFTER_ALL)} LIMIT ${MOST_NAMED}`,
      ),
    async close() {
      await runner.query('ROLLBACK');
      await runner.release();
      await source.destroy();
    },
  };
}

async function* entriesIn(rows: Rows): AsyncGenerator<readonly ReadEntry[]> {
  for (let after = BEFORE_ALL; ;) {
    const chunk = await rows.all<EntryRow & { effects: string | null }>(
      sql`SELECT ${ENTRY_COLUMNS}, "effects" FROM "journal_entry" LEFT JOIN "entry_effect" ON "entryId" = "id" WHERE "seq" > ${after} ORDER BY "seq" LIMIT ${ENTRIES}`,
    );
    const last = chunk.at(-1);
    if (!last) return;
    yield chunk.map((row) => ({
      ...row,
      effects: row.effects ?? '',
      contentHash: storedHash(row, sha256Hex),
    }));
    after = last.seq;
  }
}
