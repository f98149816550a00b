import sql, { join, type Sql } from 'sql-template-tag';
import { InvalidRequest } from '../platform/problem.ts';
import type { SqlValue } from './state-table.ts';

/** A page of a list and the key to ask the next one with. */
export interface Page<T> {
  rows: T[];
  next: string | null;
}

/** Key of the last row of a page, as the client hands it back: opaque to it, one value per sort column to us. */
export const keyOf = (values: readonly SqlValue[]): string =>
  Buffer.from(JSON.stringify(values)).toString('base64url');

/** @throws InvalidRequest when `after` is no key of ours for this list */
export function readKey(after: string, types: readonly ('string' | 'number')[]): SqlValue[] {
  try {
    const values = JSON.parse(Buffer.from(after, 'base64url').toString()) as SqlValue[];
    if (values.length === types.length && types.every((type, i) => typeof values[i] === type))
      return values;
  } catch {
    // Not JSON: told below.
  }
  throw new InvalidRequest([
    { path: ['query', 'after'], message: 'must be the `next` of a page of this list' },
  ]);
}

/** Condition for the rows after a key, in lists whose columns are all sorted the same way. */
export function beyond(
  columns: readonly Sql[],
  direction: 'asc' | 'desc',
  key: readonly SqlValue[],
): Sql {
  const left = join([...columns], ', ', '(', ')');
  const right = join([...key], ', ', '(', ')');
  return direction === 'asc' ? sql`${left} > ${right}` : sql`${left} < ${right}`;
}

/** Conditions joined by AND; none is true. */
export const allOf = (conditions: readonly Sql[]): Sql =>
  conditions.length === 0 ? sql`1 = 1` : join([...conditions], ' AND ');

export const orderBy = (columns: readonly Sql[], direction: 'asc' | 'desc'): Sql =>
  join(
    columns.map((column) => (direction === 'asc' ? sql`${column} ASC` : sql`${column} DESC`)),
    ', ',
  );

/** Cuts rows asked for with `limit + 1` to the page, and says whether there are more. */
export function pageOf<T>(
  found: readonly T[],
  limit: number,
  key: (last: T) => readonly SqlValue[],
): Page<T> {
  const rows = found.slice(0, limit);
  const last = rows.at(-1);
  return { rows, next: found.length > limit && last !== undefined ? keyOf(key(last)) : null };
}

/** The same page with its rows told otherwise. */
export const mapPage = <T, U>(page: Page<T>, map: (row: T) => U): Page<U> => ({
  rows: page.rows.map(map),
  next: page.next,
});
