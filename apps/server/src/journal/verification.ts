import type { RecordKind, VerifyReport } from '@rundlet/contracts';
import { verifyJournal, type Fail, type MemoryRecords, type StoredRecord } from '@rundlet/domain';
import sql, { join, raw } from 'sql-template-tag';
import { DataSource } from 'typeorm';
import type { Dialect } from '../database/column-types.ts';
import { dataSourceOptions, dialectOf } from '../database/data-source.ts';
import { ENTRY_COLUMNS, type EntryRow } from '../database/journal-rows.ts';
import { Rows } from '../database/rows.ts';
import { listRowsOf } from '../database/state-table.ts';
import { STATE_TABLES, stateTableOf } from '../database/state-tables.ts';
import { sha256Hex } from './sha256.ts';

const CHUNK = 2000;
const MOST_NAMED = 50;
/** Below the smallest number the column can hold: a row hidden under the first one is seen too. */
const BEFORE_ALL = -2_147_483_648;

/**
 * Checks a database's journal and state as they stand at one moment: read in one transaction on a connection of its own, so
 * that acts written meanwhile neither wait nor confuse it.
 */
export async function verifyDatabase(
  url: string,
  checkpoints: readonly string[] = [],
  onProgress: (share: number | null, entries: number) => void = () => undefined,
): Promise<VerifyReport> {
  const source = await new DataSource(dataSourceOptions(url)).initialize();
  const runner = source.createQueryRunner();
  try {
    const dialect = dialectOf(url);
    await runner.query(
      dialect === 'postgres'
        ? 'BEGIN TRANSACTION ISOLATION LEVEL REPEATABLE READ, READ ONLY'
        : 'BEGIN',
    );
    return await verifyRows(new Rows(runner), dialect, checkpoints, onProgress);
  } finally {
    await runner.query('ROLLBACK');
    await runner.release();
    await source.destroy();
  }
}

async function verifyRows(
  rows: Rows,
  dialect: Dialect,
  checkpoints: readonly string[],
  onProgress: (share: number | null, entries: number) => void,
): Promise<VerifyReport> {
  const last = await rows.one<{ seq: number | null }>(
    sql`SELECT MAX("seq") AS "seq" FROM "journal_entry"`,
  );
  return verifyJournal({
    entries: ahead(entriesIn(rows)),
    stored: ahead(recordsIn(rows)),
    lookup: {
      hashOf: async (seq) =>
        (
          await rows.one<{ hash: string }>(
            sql`SELECT "hash" FROM "journal_entry" WHERE "seq" = ${seq}`,
          )
        )?.hash ?? null,
      seqOf: async (id) =>
        (await rows.one<{ seq: number }>(sql`SELECT "seq" FROM "journal_entry" WHERE "id" = ${id}`))
          ?.seq ?? null,
    },
    // SQLite keeps truth values as 1 and 0.
    columnsOf: (kind, record) =>
      Object.values(stateTableOf(kind).fields).map((field) => {
        const value = field.of(record);
        return typeof value === 'boolean' && dialect === 'sqlite' ? Number(value) : value;
      }),
    further: (folded, fail) => compareLists(rows, folded, fail),
    checkpoints,
    sha256Hex,
    onProgress: (entries) => onProgress(last?.seq ? entries / last.seq : null, entries),
  });
}

type EntryWithEffects = EntryRow & { effects: string | null };

async function* entriesIn(rows: Rows): AsyncGenerator<readonly EntryWithEffects[]> {
  for (let after = BEFORE_ALL; ;) {
    const chunk = await rows.all<EntryWithEffects>(
      sql`SELECT ${ENTRY_COLUMNS}, "effects" FROM "journal_entry" LEFT JOIN "entry_effect" ON "entryId" = "id" WHERE "seq" > ${after} ORDER BY "seq" LIMIT ${CHUNK}`,
    );
    const last = chunk.at(-1);
    if (!last) return;
    yield chunk.map((row) => ({ ...row, effects: row.effects ?? '' }));
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

/** The tables of many-valued columns: every row must come from a record, and every value of a record must have its row. */
async function compareLists(rows: Rows, folded: MemoryRecords, fail: Fail): Promise<void> {
  for (const kind of Object.keys(STATE_TABLES) as RecordKind[]) {
    const table = stateTableOf(kind);
    for (const [name, list] of Object.entries(table.lists)) {
      const expected = new Set<string>();
      for (const record of folded.all(kind))
        for (const row of listRowsOf(list, record)) expected.add(JSON.stringify(row));
      for await (const row of listRows(rows, `${table.name}_${name}`, list.amount !== undefined))
        if (!expected.delete(JSON.stringify(row)))
          fail(
            `a row of the table ${table.name}_${name} differs from what the journal says`,
            null,
            `${kind}:${String(row[0])}`,
          );
      for (const missing of [...expected].slice(0, MOST_NAMED))
        fail(
          `a row of the table ${table.name}_${name} is missing`,
          null,
          `${kind}:${(JSON.parse(missing) as string[])[0] ?? ''}`,
        );
    }
  }
}

async function* listRows(
  rows: Rows,
  table: string,
  withAmount: boolean,
): AsyncGenerator<unknown[]> {
  const columns = raw(`"ownerId", "value"${withAmount ? ', "amount"' : ''}`);
  let [owner, value] = ['', ''];
  for (;;) {
    const chunk = await rows.all<{ ownerId: string; value: string; amount?: number }>(
      sql`SELECT ${columns} FROM ${raw(`"${table}"`)} WHERE "ownerId" > ${owner} OR ("ownerId" = ${owner} AND "value" > ${value}) ORDER BY "ownerId", "value" LIMIT ${CHUNK}`,
    );
    const last = chunk.at(-1);
    if (!last) return;
    for (const row of chunk) yield [row.ownerId, row.value, ...(withAmount ? [row.amount] : [])];
    [owner, value] = [last.ownerId, last.value];
  }
}

/** Reads the next portion while the one before is being worked on. */
async function* ahead<T>(portions: AsyncGenerator<T>): AsyncGenerator<T> {
  let next = portions.next();
  for (;;) {
    const portion = await next;
    if (portion.done === true) return;
    next = portions.next();
    // A failure meanwhile is told when its turn comes.
    next.catch(() => undefined);
    yield portion.value;
  }
}
