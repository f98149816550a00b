/** How a table is declared: once, for the entity TypeORM compares migrations with and for the statements we write. */
import { EntitySchema } from 'typeorm';
import { columnOptions, type Column, type Dialect } from './column-types.ts';

export interface Index {
  readonly columns: readonly string[];
  readonly unique?: true;
  /** Where the columns' names together would be too long for one. */
  readonly called?: string;
}
export interface TableDeclaration {
  readonly name: string;
  readonly columns: Readonly<Record<string, Column>>;
  readonly indexes: readonly Index[];
}

export const index = (...columns: string[]): Index => ({ columns });
export const calledIndex = (called: string, ...columns: string[]): Index => ({ columns, called });
export const unique = (...columns: string[]): Index => ({ columns, unique: true });

/** Longer names are cut off by PostgreSQL, and then no longer the declared ones. */
const LONGEST_NAME = 63;

export function indexName(table: string, { columns, unique, called }: Index): string {
  const name = `${unique ? 'ux' : 'ix'}_${table}_${called ?? columns.join('_')}`;
  if (name.length > LONGEST_NAME)
    throw new RangeError(
      `The index name ${name} has ${String(name.length)} characters; at most ${String(LONGEST_NAME)} are kept. Give it another with calledIndex().`,
    );
  return name;
}

export function entityOf(table: TableDeclaration, dialect: Dialect): EntitySchema {
  return new EntitySchema({
    name: table.name,
    tableName: table.name,
    columns: Object.fromEntries(
      Object.entries(table.columns).map(([name, column]) => [name, columnOptions(column, dialect)]),
    ),
    indices: table.indexes.map((i) => ({
      name: indexName(table.name, i),
      columns: [...i.columns],
      unique: i.unique ?? false,
    })),
  });
}
