/** Column types that mean the same on SQLite and PostgreSQL. */
import type { EntitySchemaColumnOptions } from 'typeorm';

export type Dialect = 'sqlite' | 'postgres';

/** One column as the declarations write it; names and types are the same on both databases. */
export interface Column {
  readonly type: 'varchar' | 'text' | 'double precision' | 'bigint' | 'integer' | 'boolean';
  readonly length?: number;
  readonly nullable?: true;
  readonly primary?: true;
}

export const text = (length: number): Column => ({ type: 'varchar', length });
export const ID = text(36);
/** ISO 8601 UTC with milliseconds: sorts as text, reads the same on both databases. */
export const INSTANT = text(24);
/** ISO 8601 calendar date. */
export const DATE = text(10);
/** SHA-256 in hexadecimal. */
export const HASH = text(64);
/** Text of any length: canonical JSON mostly. */
export const DOCUMENT: Column = { type: 'text' };
export const REAL: Column = { type: 'double precision' };
/** Conserved quantities in a small unit, and anything else that must stay whole beyond 2^31. */
export const WHOLE: Column = { type: 'bigint' };
export const COUNT: Column = { type: 'integer' };
export const FLAG: Column = { type: 'boolean' };

export const nullable = (column: Column): Column => ({ ...column, nullable: true });
export const primary = (column: Column): Column => ({ ...column, primary: true });

/**
 * What TypeORM is told. Text is compared byte by byte on both databases, so that a list sorted by code comes in one order
 * and a range of codes can use its index whatever locale the PostgreSQL cluster was made with.
 */
export function columnOptions(column: Column, dialect: Dialect): EntitySchemaColumnOptions {
  const isText = column.type === 'varchar' || column.type === 'text';
  return {
    type: column.type,
    ...(column.length === undefined ? {} : { length: column.length }),
    nullable: column.nullable ?? false,
    primary: column.primary ?? false,
    ...(isText && dialect === 'postgres' ? { collation: 'C' } : {}),
  };
}
