import { DataSource } from 'typeorm';
import { dataSourceOptions, dialectOf } from '../database/data-source.ts';
import { Rows } from '../database/rows.ts';
import { Refusal } from '../platform/refusals.ts';
import type { WorkerSettings } from './protocol.ts';

let opened: Promise<Rows> | null = null;

/** A worker thread's own connection to the database, for reading only; opened once a thread. */
export function workerRows(settings: WorkerSettings): Promise<Rows> {
  return (opened ??= open(settings.databaseUrl));
}

async function open(url: string): Promise<Rows> {
  if (url.includes(':memory:'))
    throw new Refusal(
      503,
      'database-in-memory',
      'A database in memory can’t be read by worker threads. Set DATABASE_URL to a file or to PostgreSQL.',
    );
  const source = await new DataSource(dataSourceOptions(url)).initialize();
  if (dialectOf(url) === 'sqlite') await source.query('PRAGMA query_only = ON');
  return new Rows(source);
}
