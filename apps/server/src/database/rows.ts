import { QueryFailedError, type QueryResult } from 'typeorm';
import sql, { empty, join, raw, type Sql } from 'sql-template-tag';

/** What {@link Rows} needs of TypeORM: a data source's or a transaction's query runner. */
interface Runner {
  query(text: string, parameters?: unknown[]): Promise<unknown>;
}
interface StructuredRunner {
  query(text: string, parameters: unknown[], structured: true): Promise<QueryResult>;
  getTable(name: string): Promise<{ columns: readonly { name: string }[] } | undefined>;
}

/** Statements in SQL that both databases understand, with their values as parameters. */
export class Rows {
  readonly #runner: Runner;
  constructor(runner: Runner) {
    this.#runner = runner;
  }

  async all<T>(statement: Sql): Promise<T[]> {
    return (await this.#runner.query(statement.text.trim(), statement.values)) as T[];
  }

  async one<T>(statement: Sql): Promise<T | null> {
    return (await this.all<T>(statement))[0] ?? null;
  }
}

/** {@link Rows} of a transaction, which may also write. */
export class WritableRows extends Rows {
  readonly #runner: StructuredRunner;
  constructor(runner: Runner & StructuredRunner) {
    super(runner);
    this.#runner = runner;
  }

  /** Number of rows affected. */
  async run(statement: Sql): Promise<number> {
    const result = await this.#runner.query(statement.text.trim(), statement.values, true);
    return result.affected ?? 0;
  }

  /** A statement that a library wrote, and the rows it gave. */
  async statement(text: string, values: unknown[]): Promise<unknown[]> {
    return (await this.#runner.query(text, values, true)).records as unknown[];
  }

  /** Names of a table's columns; none when there is no such table. */
  async columnsOf(table: string): Promise<string[]> {
    return (await this.#runner.getTable(table))?.columns.map(({ name }) => name) ?? [];
  }

  /** One row, its columns named by the object's keys. */
  async insert(table: string, row: Readonly<Record<string, unknown>>): Promise<void> {
    await this.insertMany(table, Object.keys(row), [Object.values(row)]);
  }

  /**
   * Many rows in as few statements as the databases' limits on parameters allow; `replacing` names the key columns whose
   * clash means: overwrite.
   */
  async insertMany(
    table: string,
    columns: readonly string[],
    rows: readonly (readonly unknown[])[],
    replacing: readonly string[] = [],
  ): Promise<void> {
    const names = join(columns.map(quoted));
    const perStatement = Math.max(1, Math.floor(MOST_PARAMETERS / columns.length));
    for (let from = 0; from < rows.length; from += perStatement) {
      const chunk = rows.slice(from, from + perStatement);
      const values = join(chunk.map((row) => sql`(${join(row as unknown[])})`));
      await this.run(
        sql`INSERT INTO ${quoted(table)} (${names}) VALUES ${values}${onConflict(columns, replacing)}`,
      );
    }
  }
}
function onConflict(columns: readonly string[], keys: readonly string[]): Sql {
  if (keys.length === 0) return empty;
  const target = join(keys.map(quoted), ', ', ' ON CONFLICT (', ')');
  const others = columns
    .filter((c) => !keys.includes(c))
    .map((c) => raw(`"${c}" = excluded."${c}"`));
  return others.length === 0
    ? sql`${target} DO NOTHING`
    : sql`${target} DO UPDATE SET ${join(others)}`;
}
const quoted = (name: string): Sql => raw(`"${name}"`);
/** SQLite's own limit is 32,766 and PostgreSQL's 65,535; statements of a few thousand are as fast and lighter. */
const MOST_PARAMETERS = 6000;

/** True if the database refused a row because of a unique constraint, on either database. */
export function isUniqueViolation(error: unknown): boolean {
  if (!(error instanceof QueryFailedError)) return false;
  const { code, message } = error.driverError as { code?: string; message: string };
  return (
    code === '23505' ||
    (code?.startsWith('SQLITE_CONSTRAINT') === true && message.includes('UNIQUE'))
  );
}
