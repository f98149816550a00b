import pg from 'pg';
import sqlite3 from 'sqlite3';
import { DataSource, type DataSourceOptions } from 'typeorm';
import type { Dialect } from './column-types.ts';
import { MIGRATIONS } from './migrations/index.ts';
import { listTables } from './state-table.ts';
import { SqliteReaders } from './sqlite-readers.ts';
import { STATE_TABLES, stateTableOf } from './state-tables.ts';
import { SUM_TABLES } from './sums.ts';
import { SYSTEM_TABLES } from './system-tables.ts';
import { entityOf, type TableDeclaration } from './table.ts';
import type { RecordKind } from '@rundlet/contracts';

/** Every table there is, for the entities and the tests. */
export const TABLES: readonly TableDeclaration[] = [
  ...(Object.keys(STATE_TABLES) as RecordKind[])
    .map(stateTableOf)
    .flatMap((table) => [table, ...listTables(table)]),
  ...SUM_TABLES,
  ...SYSTEM_TABLES,
];

export const dialectOf = (url: string): Dialect =>
  /^postgres(ql)?:/.test(url) ? 'postgres' : 'sqlite';
const fileOf = (url: string): string => url.replace(/^sqlite:(\/\/)?/, '');
const BUSY_TIMEOUT_MS = 10_000;
const isInMemory = (url: string): boolean => url.includes(':memory:');

export function dataSourceOptions(url: string): DataSourceOptions {
  const dialect = dialectOf(url);
  const common = {
    entities: TABLES.map((table) => entityOf(table, dialect)),
    migrations: MIGRATIONS,
    migrationsRun: false,
    migrationsTransactionMode: 'each' as const,
    synchronize: false,
  };
  if (dialect === 'sqlite')
    return {
      type: 'sqlite',
      database: fileOf(url),
      enableWAL: !isInMemory(url),
      busyTimeout: BUSY_TIMEOUT_MS,
      driver: quiet,
      ...common,
    };
  const schema = schemaOf(url);
  return {
    type: 'postgres',
    url,
    schema,
    extra: {
      max: 10,
      ...CONNECTING,
      options: `-c search_path=${schema}`,
      types: { getTypeParser },
    },
    ...common,
  };
}

/** A database that is gone is told of soon, not when somebody has lost patience. */
export const CONNECTING = { connectionTimeoutMillis: 5000, keepAlive: true };

/** The schema a PostgreSQL address names by `?schema=`. */
export const schemaOf = (url: string): string =>
  new URL(url).searchParams.get('schema') ?? 'public';

/** TypeORM turns on the driver's tracing, which formats every statement's parameters in case it should fail. */
const quiet = { ...sqlite3, verbose: () => sqlite3 };

/** The connections of one database: all writes go through one, all reads through the others. */
export interface Connections {
  readonly dialect: Dialect;
  readonly writer: DataSource;
  readonly reader: DataSource | SqliteReaders;
}

/** Injection token of the connections, for the few who need to know the dialect. */
export const CONNECTIONS = Symbol('connections');

/** SQLite's own 2 MB hold too little of an estate: its indexes would be read from the file again and again. */
export const CACHE_KIB = 64 * 1024;

/** Opens the database and brings its schema up to date. */
export async function connect(url: string): Promise<Connections> {
  const dialect = dialectOf(url);
  const writer = await new DataSource(dataSourceOptions(url)).initialize();
  if (dialect === 'sqlite') {
    // FULL: an acknowledged act has reached the disk, not only the operating system.
    await writer.query('PRAGMA synchronous = FULL');
    await writer.query(`PRAGMA cache_size = -${String(CACHE_KIB)}`);
  }
  await migrate(writer, dialect);
  if (isInMemory(url)) return { dialect, writer, reader: writer };
  const reader =
    dialect === 'sqlite'
      ? await SqliteReaders.open(fileOf(url), BUSY_TIMEOUT_MS)
      : await new DataSource(dataSourceOptions(url)).initialize();
  return { dialect, writer, reader };
}

/** Of several processes that start at once, one brings the schema up to date and the others wait for it. */
async function migrate(writer: DataSource, dialect: Dialect): Promise<void> {
  if (dialect === 'sqlite') {
    await writer.runMigrations();
    return;
  }
  const holder = writer.createQueryRunner();
  try {
    await holder.query(`SELECT pg_advisory_lock(${MIGRATIONS_LOCK})`);
    await writer.runMigrations();
  } finally {
    await holder.query(`SELECT pg_advisory_unlock(${MIGRATIONS_LOCK})`).catch(() => undefined);
    await holder.release();
  }
}
/** The first is the program's own number, as in {@link UnitOfWork}. */
const MIGRATIONS_LOCK = "7202611, hashtext(current_schema() || ' migrations')";

export async function disconnect({ writer, reader }: Connections): Promise<void> {
  for (const source of new Set([reader, writer])) if (source.isInitialized) await source.destroy();
}

/** PostgreSQL hands int8 and the numeric sums of it back as text; here they are numbers, or refused when unsafe. */
function getTypeParser(oid: number, format?: 'text' | 'binary'): (value: string) => unknown {
  if (oid === INT8 || oid === NUMERIC) return safeNumber;
  return pg.types.getTypeParser(oid, format) as (value: string) => unknown;
}
const INT8 = 20;
const NUMERIC = 1700;
function safeNumber(value: string): number {
  const n = Number(value);
  if (Number.isInteger(n) && !Number.isSafeInteger(n))
    throw new RangeError(`The database answered ${value}, which is too large to be exact.`);
  return n;
}
