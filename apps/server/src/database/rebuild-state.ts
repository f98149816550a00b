import type { RecordKind } from '@rundlet/contracts';
import { canonicalJson, entryOf, foldEntry, MemoryRecords } from '@rundlet/domain';
import sql, { raw } from 'sql-template-tag';
import { ENTRY_COLUMNS, type EntryRow } from './journal-rows.ts';
import type { WritableRows } from './rows.ts';
import { listRowsOf, listTables, rowOf } from './state-table.ts';
import { STATE_TABLES, stateTableOf } from './state-tables.ts';

const CHUNK = 2000;

/**
 * Empties every state table, and what entries keep for taking them back, and fills them by folding the whole journal as
 * it was written. For a migration after which records have fields that an older program did not write.
 */
export async function rebuildState(tx: WritableRows): Promise<void> {
  const kinds = Object.keys(STATE_TABLES) as RecordKind[];
  for (const table of kinds.map(stateTableOf).flatMap((t) => [...listTables(t), t]))
    await tx.run(sql`DELETE FROM ${raw(`"${table.name}"`)}`);
  await tx.run(sql`DELETE FROM "entry_effect"`);
  const records = await foldJournal(tx);
  for (const kind of kinds) {
    const table = stateTableOf(kind);
    const all = records.all(kind);
    await tx.insertMany(
      table.name,
      table.columnNames,
      all.map((record) => rowOf(table, record, canonicalJson(record))),
    );
    for (const [name, list] of Object.entries(table.lists))
      await tx.insertMany(
        `${table.name}_${name}`,
        ['ownerId', 'value', ...(list.amount ? ['amount'] : [])],
        all.flatMap((record) => listRowsOf(list, record)),
      );
  }
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
