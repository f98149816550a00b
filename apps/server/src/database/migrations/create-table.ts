import { Table, type QueryRunner, type TableColumnOptions } from 'typeorm';
import { columnOptions, type Column, type Dialect } from '../column-types.ts';
import { indexName, type Index } from '../table.ts';

type Columns = Readonly<Record<string, Column>>;

/** Create a table by TypeORM's table API, the same on both databases. */
export async function createTable(
  q: QueryRunner,
  name: string,
  columns: Columns,
  indexes: readonly Index[] = [],
): Promise<void> {
  await q.createTable(
    new Table({
      name,
      columns: tableColumns(q, columns),
      indices: indexes.map((i) => ({
        name: indexName(name, i),
        columnNames: [...i.columns],
        isUnique: i.unique ?? false,
      })),
    }),
  );
}

/** Columns as TypeORM's table API takes them. */
export function tableColumns(q: QueryRunner, columns: Columns): TableColumnOptions[] {
  const dialect = q.connection.options.type as Dialect;
  return Object.entries(columns).map(([name, column]) => {
    const { type, length, nullable, primary, collation } = columnOptions(column, dialect);
    return {
      name,
      type: String(type),
      isNullable: nullable ?? false,
      isPrimary: primary ?? false,
      ...(length === undefined ? {} : { length: String(length) }),
      ...(collation === undefined ? {} : { collation }),
    };
  });
}
