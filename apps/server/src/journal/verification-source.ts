import type { RecordKind } from '@rundlet/contracts';
import { storedHash, type StoredEntry, type StoredRecord } from '@rundlet/domain';
import sql, { join, raw } from 'sql-template-tag';
import { DataSource } from 'typeorm';
import { dataSourceOptions, dialectOf } from '../database/data-source.ts';
import { ENTRY_COLUMNS, type EntryRow } from '../database/journal-rows.ts';
import { Rows } from '../database/rows.ts';
import { STATE_TABLES, stateTableOf } from '../database/state-tables.ts';
import { columnsOfSum } from '../database/sums.ts';
import { sha256Hex } from './sha256.ts';

/** Rows read at once: few enough that they are gone before the garbage collector has to carry them along. */
const CHUNK = 300;
const MOST_NAMED = 50;
/** Below the smallest number the column can hold: a row hidden under the first one is seen too. */
const BEFORE_ALL = -2_147_483_648;

export type ReadEntry = StoredEntry & {
  readonly effects: string;
  /** What its texts hash to. */
  readonly contentHash: string;
};
/** A row of a list's table: owner, value and perhaps amount. */
export type ListRow = readonly (string | number)[];
export interface StraySubject {
  readonly seq: number;
  readonly subject: string;
}

/** All that a verification reads of a database, as it stood at one moment. */
export interface VerificationSource {
  /** The number of the last entry. */
  lastSeq(): Promise<number | null>;
  entries(): AsyncIterable<readonly ReadEntry[]>;
  records(): AsyncIterable<readonly StoredRecord[]>;
  listRows(kind: RecordKind, list: string): AsyncIterable<readonly ListRow[]>;
  hashOf(seq: number): Promise<string | null>;
  seqOf(id: string): Promise<number | null>;
  /** Subjects of entries that have no row in the table they are looked up by. */
  subjectsMissing(): Promise<readonly StraySubject[]>;
  subjectRows(): Promise<number>;
  /** Rows of that table that no entry names. */
  subjectsBeside(): Promise<readonly StraySubject[]>;
  /** A table of sums that are kept, but for those that are nothing. */
  sumRows(table: string): Promise<readonly ListRow[]>;
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
  await runner.query(
    dialect === 'postgres'
      ? 'BEGIN TRANSACTION ISOLATION LEVEL REPEATABLE READ, READ ONLY'
      : 'BEGIN',
  );
  const rows = new Rows(runner);
  const subjectsOfEntries =
    dialect === 'postgres'
      ? sql`(SELECT "seq", jsonb_array_elements_text("subjects"::jsonb) AS "value" FROM "journal_entry") e`
      : sql`(SELECT j."seq", s."value" FROM "journal_entry" j, json_each(j."subjects") s) e`;
  return {
    lastSeq: async () =>
      (await rows.one<{ seq: number | null }>(sql`SELECT MAX("seq") AS "seq" FROM "journal_entry"`))
        ?.seq ?? null,
    entries: () => entriesIn(rows),
    records: () => recordsIn(rows),
    listRows: (kind, list) => listRowsIn(rows, kind, list),
    hashOf: async (seq) =>
      (
        await rows.one<{ hash: string }>(
          sql`SELECT "hash" FROM "journal_entry" WHERE "seq" = ${seq}`,
        )
      )?.hash ?? null,
    seqOf: async (id) =>
      (await rows.one<{ seq: number }>(sql`SELECT "seq" FROM "journal_entry" WHERE "id" = ${id}`))
        ?.seq ?? null,
    subjectsMissing: () =>
      rows.all(
        sql`SELECT e."seq" AS "seq", e."value" AS "subject" FROM ${subjectsOfEntries}
            WHERE NOT EXISTS (SELECT 1 FROM "journal_subject" s WHERE s."subject" = e."value" AND s."seq" = e."seq") LIMIT ${MOST_NAMED}`,
      ),
    subjectRows: async () =>
      Number(
        (await rows.one<{ n: number }>(sql`SELECT COUNT(*) AS "n" FROM "journal_subject"`))?.n ?? 0,
      ),
    subjectsBeside: () =>
      rows.all(
        sql`SELECT s."seq" AS "seq", s."subject" AS "subject" FROM "journal_subject" s
            EXCEPT SELECT e."seq", e."value" FROM ${subjectsOfEntries} LIMIT ${MOST_NAMED}`,
      ),
    sumRows: async (table) => {
      const sums = await rows.all<Record<string, string | number>>(
        sql`SELECT * FROM ${raw(`"${table}"`)}`,
      );
      return sums
        .map((row) => columnsOfSum(table).map((column) => row[column] ?? ''))
        .filter((row) => row.some((value) => typeof value === 'number' && value !== 0));
    },
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
      sql`SELECT ${ENTRY_COLUMNS}, "effects" FROM "journal_entry" LEFT JOIN "entry_effect" ON "entryId" = "id" WHERE "seq" > ${after} ORDER BY "seq" LIMIT ${CHUNK}`,
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

async function* recordsIn(rows: Rows): AsyncGenerator<readonly StoredRecord[]> {
  for (const kind of Object.keys(STATE_TABLES) as RecordKind[]) {
    const { name, fields } = stateTableOf(kind);
    const names = Object.keys(fields);
    const columns = join(['id', 'record', ...names].map((column) => raw(`"${column}"`)));
    for (let after = ''; ;) {
      const chunk = await rows.all<Record<string, unknown> & { id: string; record: string }>(
        sql`SELECT ${columns} FROM ${raw(`"${name}"`)} WHERE "id" > ${after} ORDER BY "id" LIMIT ${CHUNK}`,
      );
      const last = chunk.at(-1);
      if (!last) break;
      yield chunk.map((row) => ({
        kind,
        id: row.id,
        json: row.record,
        columns: names.map((column) => row[column]),
      }));
      after = last.id;
    }
  }
}

async function* listRowsIn(
  rows: Rows,
  kind: RecordKind,
  list: string,
): AsyncGenerator<readonly ListRow[]> {
  const table = stateTableOf(kind);
  const withAmount = table.lists[list]?.amount !== undefined;
  const from = raw(`"${table.name}_${list}"`);
  const columns = raw(`"ownerId", "value"${withAmount ? ', "amount"' : ''}`);
  let [owner, value] = ['', ''];
  for (;;) {
    const chunk = await rows.all<{ ownerId: string; value: string; amount?: number }>(
      sql`SELECT ${columns} FROM ${from} WHERE "ownerId" > ${owner} OR ("ownerId" = ${owner} AND "value" > ${value}) ORDER BY "ownerId", "value" LIMIT ${CHUNK}`,
    );
    const last = chunk.at(-1);
    if (!last) return;
    yield chunk.map((row) => [row.ownerId, row.value, ...(withAmount ? [row.amount ?? 0] : [])]);
    [owner, value] = [last.ownerId, last.value];
  }
}
