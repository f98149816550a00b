import { existsSync } from 'node:fs';
import sql, { join, raw, type Sql } from 'sql-template-tag';
import { DataSource } from 'typeorm';
import { connect, dataSourceOptions, dialectOf, disconnect, TABLES } from './data-source.ts';
import { beyond } from './page.ts';
import { Rows, WritableRows } from './rows.ts';
import type { TableDeclaration } from './table.ts';

/** Rows read, written or compared at once. */
const CHUNK = 1000;

/** The move can't be made, and nothing was written. */
export class MoveRefused extends Error {
  override readonly name = 'MoveRefused';
}

export interface Moved {
  readonly tables: number;
  readonly rows: number;
}

/**
 * Copies an estate from an SQLite file into an empty PostgreSQL: every table in the order of its key, all of it in one
 * transaction, and every value compared before that is committed. The file is locked against writers meanwhile and left as it is.
 * @throws MoveRefused
 */
export async function moveToPostgres(
  file: string,
  to: string,
  onProgress: (table: string, rows: number, of: number) => void,
): Promise<Moved> {
  if (dialectOf(to) !== 'postgres') throw new MoveRefused('DATABASE_URL must name a PostgreSQL.');
  if (!existsSync(file)) throw new MoveRefused(`There is no SQLite database at ${file}.`);
  const source = await new DataSource(dataSourceOptions(`sqlite:${file}`)).initialize();
  try {
    if (await source.showMigrations())
      throw new MoveRefused(
        `${file} is of an earlier version. Start this version's server on it once, stop it, and move then.`,
      );
    await source.query('BEGIN IMMEDIATE');
    const target = await connect(to);
    const runner = target.writer.createQueryRunner();
    try {
      await runner.query('BEGIN');
      const moved = await copyAll(new Rows(source), new WritableRows(runner), onProgress);
      await runner.query('COMMIT');
      await runner.query('ANALYZE');
      return moved;
    } catch (error) {
      await runner.query('ROLLBACK').catch(() => undefined);
      throw error;
    } finally {
      await runner.release();
      await disconnect(target);
    }
  } finally {
    await source.query('ROLLBACK').catch(() => undefined);
    await source.destroy();
  }
}

async function copyAll(
  from: Rows,
  to: WritableRows,
  onProgress: (table: string, rows: number, of: number) => void,
): Promise<Moved> {
  for (const table of TABLES)
    if ((await countOf(to, table)) > 0)
      throw new MoveRefused(
        `The PostgreSQL is not empty: its table ${table.name} has rows. Give an empty database, or another schema by ?schema=NAME.`,
      );
  let rows = 0;
  for (const table of TABLES) {
    const of = await countOf(from, table);
    let copied = 0;
    for await (const chunk of chunksOf(from, table)) {
      await to.insertMany(table.name, Object.keys(table.columns), chunk);
      copied += chunk.length;
      onProgress(table.name, copied, of);
    }
    await compare(from, to, table);
    rows += of;
  }
  return { tables: TABLES.length, rows };
}

/** Row by row and value by value, texts byte by byte. */
async function compare(from: Rows, to: Rows, table: TableDeclaration): Promise<void> {
  const [counted, wanted] = [await countOf(to, table), await countOf(from, table)];
  if (counted !== wanted)
    throw new Error(
      `The copy of ${table.name} has ${String(counted)} rows where ${String(wanted)} were to be copied.`,
    );
  const copies = chunksOf(to, table);
  for await (const originals of chunksOf(from, table)) {
    const { value: copied = [] } = await copies.next();
    for (const [i, original] of originals.entries())
      if (JSON.stringify(original) !== JSON.stringify(copied[i]))
        throw new Error(`A row of ${table.name} differs in the copy: ${JSON.stringify(original)}`);
  }
}

async function countOf(rows: Rows, { name }: TableDeclaration): Promise<number> {
  const counted = await rows.one<{ n: number }>(sql`SELECT COUNT(*) AS n FROM ${raw(`"${name}"`)}`);
  return Number(counted?.n ?? 0);
}

/** A table's rows in the order of its key, which both databases sort by bytes. */
async function* chunksOf(
  rows: Rows,
  { name, columns }: TableDeclaration,
): AsyncGenerator<unknown[][], undefined> {
  const names = Object.keys(columns);
  const flags = names.map((column) => columns[column]?.type === 'boolean');
  const keys = names.filter((column) => columns[column]?.primary);
  const columnsOf = (of: readonly string[]): Sql[] => of.map((column) => raw(`"${column}"`));
  const order = join(columnsOf(keys));
  for (let after: Sql = sql`1 = 1`; ;) {
    const chunk = await rows.all<Record<string, unknown>>(
      sql`SELECT ${join(columnsOf(names))} FROM ${raw(`"${name}"`)} WHERE ${after} ORDER BY ${order} LIMIT ${CHUNK}`,
    );
    const last = chunk.at(-1);
    if (!last) return;
    // SQLite keeps truth values as 1 and 0.
    yield chunk.map((row) =>
      names.map((column, i) =>
        flags[i] && row[column] !== null ? Boolean(row[column]) : row[column],
      ),
    );
    after = beyond(
      columnsOf(keys),
      'asc',
      keys.map((key) => last[key] as string | number),
    );
  }
}
