import type { RecordKind } from '@rundlet/contracts';
import { canonicalJson, entryOf, foldEntry, MemoryRecords } from '@rundlet/domain';
import sql, { raw } from 'sql-template-tag';
import { ENTRY_COLUMNS, type EntryRow } from './journal-rows.ts';
import type { WritableRows } from './rows.ts';
import { insertRecords, listTables } from './state-table.ts';
import { SUM_TABLES, sumAnew } from './sums.ts';
import { STATE_TABLES, stateTableOf } from './state-tables.ts';

const CHUNK = 2000;

/**
 * Empties every state table, and what entries keep for taking them back, and fills them by folding the whole journal as
 * it was written. For a migration after which records have fields that an older program did not write. Tables and columns
 * that only a later migration makes are left to that one.
 */
export async function rebuildState(tx: WritableRows): Promise<void> {
  const kinds = Object.keys(STATE_TABLES) as RecordKind[];
  const columnsOf = new Map<string, readonly string[]>();
  for (const { name } of kinds.map(stateTableOf).flatMap((t) => [...listTables(t), t])) {
    const columns = await tx.columnsOf(name);
    columnsOf.set(name, columns);
    if (columns.length > 0) await tx.run(sql`DELETE FROM ${raw(`"${name}"`)}`);
  }
  const insert = async (
    table: string,
    columns: readonly string[],
    rows: readonly (readonly unknown[])[],
  ) => {
    const there = columns.map((column) => columnsOf.get(table)?.includes(column) ?? false);
    const kept = <T>(values: readonly T[]): T[] => values.filter((_, i) => there[i]);
    if (there.includes(true)) await tx.insertMany(table, kept(columns), rows.map(kept));
  };
  await tx.run(sql`DELETE FROM "entry_effect"`);
  const records = await foldJournal(tx);
  for (const kind of kinds) {
    await insertRecords(
      stateTableOf(kind),
      records.all(kind).map((record) => [record, canonicalJson(record)]),
      insert,
    );
  }
  const [sum] = SUM_TABLES;
  if (sum && (await tx.columnsOf(sum.name)).length > 0) await sumAnew(tx);
}

async function foldJournal(tx: WritableRows): Promise<MemoryRecords> {
  const records = new MemoryRecords();
  for (let after = 0; ;) {
    const rows = await tx.all<EntryRow>(
      sql`SELECT ${ENTRY_COLUMNS} FROM "journal_entry" WHERE "seq" > ${after} ORDER BY "seq" LIMIT ${CHUNK}`,
    );
    const last = rows.at(-1);
    if (!last) return records;
    const effects: string[][] = [];
    for (const row of rows) {
      const folded = await foldEntry(entryOf(row), records);
      effects.push([row.id, canonicalJson(folded.effects)]);
    }
    await tx.insertMany('entry_effect', ['entryId', 'effects'], effects);
    after = last.seq;
  }
}
