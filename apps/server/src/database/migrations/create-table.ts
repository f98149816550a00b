import { Table, type QueryRunner } from 'typeorm';
import { columnOptions, type Column, type Dialect } from '../column-types.ts';
import { indexName, type Index } from '../table.ts';

/** Create a table by TypeORM's table API, the same on both databases. */
export async function createTable(
  q: QueryRunner,
  name: string,
  columns: Readonly<Record<string, Column>>,
  indexes: readonly Index[] = [],
): Promise<void> {
  const dialect = q.connection.options.type as Dialect;
  await q.createTable(
    new Table({
      name,
      columns: Object.entries(columns).map(([columnName, column]) => {
        const { type, length, nullable, primary, collation } = columnOptions(column, dialect);
        return {
          name: columnName,
          type: String(type),
          isNullable: nullable ?? false,
          isPrimary: primary ?? false,
          ...(length === undefined ? {} : { length: String(length) }),
          ...(collation === undefined ? {} : { collation }),
        };
      }),
      indices: indexes.map((i) => ({
        name: indexName(name, i),
        columnNames: [...i.columns],
        isUnique: i.unique ?? false,
      })),
    }),
  );
}
