/** What one state table is: a record kind's table with its extracted columns and its lists. */
import type { RecordKind, RecordOf } from '@rundlet/contracts';
import { DOCUMENT, ID, primary, type Column } from './column-types.ts';
import { index, unique, type Index, type TableDeclaration } from './table.ts';

export type SqlValue = string | number | boolean | null;

/** A query column: always a function of the record, never a fact of its own. */
export interface Field<R> {
  readonly column: Column;
  readonly of: (record: R) => SqlValue;
}
/** A many-valued query column, kept in a table of its own: owner's id, one value and perhaps its amount per row. */
export interface List<R> {
  readonly column: Column;
  readonly of: (record: R) => Readonly<Record<string, number>> | readonly string[];
  /** Column of the amounts, where `of` gives some. */
  readonly amount?: Column;
  /** Whether a value may belong to one record only. */
  readonly unique?: true;
}

export interface StateTable<K extends RecordKind = RecordKind> extends TableDeclaration {
  readonly kind: K;
  readonly fields: Readonly<Record<string, Field<RecordOf<K>>>>;
  readonly lists: Readonly<Record<string, List<RecordOf<K>>>>;
  /** Names of the columns of the main table in the order {@link rowOf} gives their values. */
  readonly columnNames: readonly string[];
}

export function stateTable<K extends RecordKind>(
  kind: K,
  declaration: {
    id?: Column;
    fields: Record<string, Field<RecordOf<K>>>;
    indexes: readonly Index[];
    lists?: Record<string, List<RecordOf<K>>>;
  },
): StateTable<K> {
  const columns = {
    id: primary(declaration.id ?? ID),
    ...Object.fromEntries(Object.entries(declaration.fields).map(([n, f]) => [n, f.column])),
    record: DOCUMENT,
  };
  return {
    kind,
    name: kind.replaceAll('-', '_'),
    columns,
    columnNames: Object.keys(columns),
    fields: declaration.fields,
    lists: declaration.lists ?? {},
    indexes: declaration.indexes,
  };
}

/** The tables of a state table's lists. */
export function listTables(table: StateTable): TableDeclaration[] {
  return Object.entries(table.lists).map(([name, list]) => ({
    name: `${table.name}_${name}`,
    columns: {
      ownerId: primary(table.columns['id'] as Column),
      value: primary(list.column),
      ...(list.amount === undefined ? {} : { amount: list.amount }),
    },
    indexes: [list.unique ? unique('value') : index('value')],
  }));
}

/** Rows of a list's table for a record. */
export function listRowsOf<R extends { id: string }>(list: List<R>, record: R): SqlValue[][] {
  const values = list.of(record);
  return Array.isArray(values)
    ? [...new Set(values as readonly string[])].map((value) => [record.id, value])
    : Object.entries(values as Readonly<Record<string, number>>).map(([value, amount]) => [
        record.id,
        value,
        amount,
      ]);
}

/** Values of the main table's columns for a record whose canonical JSON is `document`. */
export function rowOf<K extends RecordKind>(
  table: StateTable<K>,
  record: RecordOf<K>,
  document: string,
): SqlValue[] {
  return [record.id, ...Object.values(table.fields).map((f) => f.of(record)), document];
}

/** Writes records that the database does not hold yet, each with its canonical JSON, and their lists. */
export async function insertRecords<K extends RecordKind>(
  table: StateTable<K>,
  records: readonly (readonly [record: RecordOf<K>, document: string])[],
  insertMany: (
    table: string,
    columns: readonly string[],
    rows: readonly (readonly unknown[])[],
  ) => Promise<void>,
): Promise<void> {
  await insertMany(
    table.name,
    table.columnNames,
    records.map(([record, document]) => rowOf(table, record, document)),
  );
  for (const [name, list] of Object.entries(table.lists))
    await insertMany(
      `${table.name}_${name}`,
      ['ownerId', 'value', ...(list.amount ? ['amount'] : [])],
      records.flatMap(([record]) => listRowsOf(list, record)),
    );
}
