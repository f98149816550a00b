import type { JournalEntry, RecordKind, VerifyReport } from '@rundlet/contracts';
import { verifyJournal } from '@rundlet/domain';
import sql, { raw } from 'sql-template-tag';
import { DataSource } from 'typeorm';
import { dataSourceOptions, dialectOf } from '../database/data-source.ts';
import { ENTRY_COLUMNS, entryOf, type EntryRow } from '../database/journal-rows.ts';
import { Rows } from '../database/rows.ts';
import { STATE_TABLES, stateTableOf } from '../database/state-tables.ts';
import { sha256Hex } from './sha256.ts';

const CHUNK = 1000;

/**
 * Checks a database's journal and state as they stand at one moment: read in one transaction on a connection of its own, so
 * that acts written meanwhile neither wait nor confuse it.
 */
export async function verifyDatabase(
  url: string,
  onProgress: (share: number | null, entries: number) => void = () => undefined,
): Promise<VerifyReport> {
  const source = await new DataSource(dataSourceOptions(url)).initialize();
  const runner = source.createQueryRunner();
  try {
    const isPostgres = dialectOf(url) === 'postgres';
    await runner.query(
      isPostgres ? 'BEGIN TRANSACTION ISOLATION LEVEL REPEATABLE READ, READ ONLY' : 'BEGIN',
    );
    return await verifyRows(new Rows(runner), onProgress);
  } finally {
    await runner.query('ROLLBACK');
    await runner.release();
    await source.destroy();
  }
}

async function verifyRows(
  rows: Rows,
  onProgress: (share: number | null, entries: number) => void,
): Promise<VerifyReport> {
  const last = await rows.one<{ seq: number | null }>(
    sql`SELECT MAX("seq") AS "seq" FROM "journal_entry"`,
  );
  return verifyJournal({
    entries: entriesIn(rows),
    stored: recordsIn(rows),
    sha256Hex,
    onProgress: (entries) => onProgress(last?.seq ? entries / last.seq : null, entries),
  });
}

async function* entriesIn(rows: Rows): AsyncGenerator<JournalEntry> {
  for (let after = 0; ;) {
    const chunk = await rows.all<EntryRow>(
      sql`SELECT ${ENTRY_COLUMNS} FROM "journal_entry" WHERE "seq" > ${after} ORDER BY "seq" LIMIT ${CHUNK}`,
    );
    yield* chunk.map(entryOf);
    const last = chunk.at(-1);
    if (!last) return;
    after = last.seq;
  }
}

async function* recordsIn(
  rows: Rows,
): AsyncGenerator<{ kind: RecordKind; id: string; json: string }> {
  for (const kind of Object.keys(STATE_TABLES) as RecordKind[]) {
    const table = raw(`"${stateTableOf(kind).name}"`);
    for (let after = ''; ;) {
      const chunk = await rows.all<{ id: string; record: string }>(
        sql`SELECT "id", "record" FROM ${table} WHERE "id" > ${after} ORDER BY "id" LIMIT ${CHUNK}`,
      );
      for (const { id, record } of chunk) yield { kind, id, json: record };
      const last = chunk.at(-1);
      if (!last) break;
      after = last.id;
    }
  }
}
