/** How a table is declared: once, for the entity TypeORM compares migrations with and for the statements we write. */
import { EntitySchema } from 'typeorm';
import { columnOptions, type Column, type Dialect } from './column-types.ts';

export interface Index {
  readonly columns: readonly string[];
  readonly unique?: true;
}
export interface TableDeclaration {
  readonly name: string;
  readonly columns: Readonly<Record<string, Column>>;
  readonly indexes: readonly Index[];
}

export const index = (...columns: string[]): Index => ({ columns });
export const unique = (...columns: string[]): Index => ({ columns, unique: true });

export const indexName = (table: string, { columns, unique }: Index): string =>
  `${unique ? 'ux' : 'ix'}_${table}_${columns.join('_')}`;

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
