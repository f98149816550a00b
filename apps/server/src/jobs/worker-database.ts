import { workerData } from 'node:worker_threads';
import type { Sql } from 'sql-template-tag';
import { DataSource } from 'typeorm';
import { dataSourceOptions, dialectOf } from '../database/data-source.ts';
import { Rows } from '../database/rows.ts';
import { Refusal } from '../platform/refusals.ts';
import { DatabaseGuard } from './database-guard.ts';
import type { WorkerSettings, WorkerStart } from './protocol.ts';

/** {@link Rows} whose calls the thread isn't ended in. */
class GuardedRows extends Rows {
  readonly #guard: DatabaseGuard;
  constructor(source: DataSource, guard: DatabaseGuard) {
    super(source);
    this.#guard = guard;
  }
  override all<T>(statement: Sql): Promise<T[]> {
    return this.#guard.call(() => super.all<T>(statement));
  }
}

let guard: DatabaseGuard | null = null;
const ownGuard = (): DatabaseGuard =>
  (guard ??= new DatabaseGuard((workerData as WorkerStart).guard));

/** For work that opens the database in its own way: the thread isn't ended before all of it is done. */
export const guarded = <T>(work: () => Promise<T>): Promise<T> => ownGuard().call(work);

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
  const source = await guarded(async () => {
    const connected = await new DataSource(dataSourceOptions(url)).initialize();
    if (dialectOf(url) === 'sqlite') await connected.query('PRAGMA query_only = ON');
    return connected;
  });
  return new GuardedRows(source, ownGuard());
}
