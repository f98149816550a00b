import { QueryFailedError, type QueryResult } from 'typeorm';
import sql, { join, raw, type Sql } from 'sql-template-tag';

interface Typed {
  readonly options: { readonly type: string };
}
/** What {@link Rows} needs of TypeORM: a data source's or a transaction's query runner. */
type Runner = (Typed | { readonly connection: Typed }) & {
  query(text: string, parameters?: unknown[]): Promise<unknown>;
};
interface StructuredRunner {
  query(text: string, parameters: unknown[], structured: true): Promise<QueryResult>;
  getTable(name: string): Promise<{ columns: readonly { name: string }[] } | undefined>;
}

/** Statements in SQL that both databases understand, with their values as parameters. */
export class Rows {
  readonly #runner: Runner;
  /** PostgreSQL wants parameters numbered; SQLite takes $1 for a name, and looks each up among all names before it. */
  protected readonly numbered: boolean;
  constructor(runner: Runner) {
    this.#runner = runner;
    this.numbered = ('options' in runner ? runner : runner.connection).options.type === 'postgres';
  }

  async all<T>(statement: Sql): Promise<T[]> {
    return (await this.#runner.query(this.textOf(statement), statement.values)) as T[];
  }

  protected textOf(statement: Sql): string {
    return (this.numbered ? statement.text : statement.sql).trim();
  }

  /** A number within a JSON document. */
  numberIn(document: Sql, path: readonly string[]): Sql {
    const value = this.numbered
      ? sql`${document}::jsonb #>> ${raw(`'{${path.join()}}'`)}`
      : sql`json_extract(${document}, ${raw(`'$.${path.join('.')}'`)})`;
    return sql`CAST(${value} AS DOUBLE PRECISION)`;
  }

  async one<T>(statement: Sql): Promise<T | null> {
    return (await this.all<T>(statement))[0] ?? null;
  }
}

/** What changes of records are written with. */
export type Writes = Pick<WritableRows, 'insertMany' | 'addMany' | 'deleteBy'>;

/** {@link Rows} of a transaction, which may also write. */
export class WritableRows extends Rows {
  readonly #runner: StructuredRunner;
  constructor(runner: Runner & StructuredRunner) {
    super(runner);
    this.#runner = runner;
  }

  /** Number of rows affected. */
  async run(statement: Sql): Promise<number> {
    const result = await this.#runner.query(this.textOf(statement), statement.values, true);
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
    await this.#insert(table, columns, rows, onConflict(columns, replacing));
  }

  /** Many rows of amounts under keys: where a key is there already, the amounts are added to those that stand. */
  async addMany(
    table: string,
    columns: readonly string[],
    rows: readonly (readonly unknown[])[],
    keys: readonly string[],
  ): Promise<void> {
    const added = (column: string) => `"${table}"."${column}" + excluded."${column}"`;
    await this.#insert(table, columns, rows, onConflict(columns, keys, added));
  }

  /** The rows that have one of these values in a column. */
  async deleteBy(table: string, column: string, values: readonly string[]): Promise<void> {
    for (let from = 0; from < values.length; from += 1000)
      await this.run(
        sql`DELETE FROM ${raw(quoted(table))} WHERE ${raw(quoted(column))} IN (${join(values.slice(from, from + 1000))})`,
      );
  }

  async #insert(
    table: string,
    columns: readonly string[],
    rows: readonly (readonly unknown[])[],
    conflict: string,
  ): Promise<void> {
    const perStatement = Math.max(1, Math.floor(MOST_PARAMETERS / columns.length));
    for (let from = 0; from < rows.length; from += perStatement) {
      const chunk = rows.slice(from, from + perStatement);
      let parameters = 0;
      const parameter = () => (this.numbered ? `$${String((parameters += 1))}` : '?');
      const values = chunk.map((row) => `(${row.map(parameter).join()})`).join();
      const statement = `INSERT INTO "${table}" (${columns.map(quoted).join()}) VALUES ${values}${conflict}`;
      await this.#runner.query(statement, chunk.flat(), true);
    }
  }
}
function onConflict(
  columns: readonly string[],
  keys: readonly string[],
  value = (column: string) => `excluded."${column}"`,
): string {
  if (keys.length === 0) return '';
  const others = columns.filter((c) => !keys.includes(c)).map((c) => `"${c}" = ${value(c)}`);
  return ` ON CONFLICT (${keys.map(quoted).join()}) DO ${others.length === 0 ? 'NOTHING' : `UPDATE SET ${others.join()}`}`;
}
const quoted = (name: string): string => `"${name}"`;
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
