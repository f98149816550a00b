import { AsyncLocalStorage } from 'node:async_hooks';
import type { QueryRunner } from 'typeorm';
import sql from 'sql-template-tag';
import type { Connections } from './data-source.ts';
import { WritableRows } from './rows.ts';

/**
 * The only way to write. TypeORM gives SQLite one connection for the whole process, so two overlapping transactions would
 * share a BEGIN and the second would vanish if the first rolled back; here they wait for each other instead.
 */
export class UnitOfWork {
  readonly #database: Connections;
  readonly #inside = new AsyncLocalStorage<true>();
  #last: Promise<unknown> = Promise.resolve();

  constructor(database: Connections) {
    this.#database = database;
  }

  /** Runs `work` in one transaction: all of it is committed and on disk when the promise resolves, or none of it. */
  write<T>(work: (tx: WritableRows) => Promise<T>): Promise<T> {
    if (this.#inside.getStore())
      throw new Error('A unit of work cannot be started inside another one.');
    const run = () => this.#inside.run(true, () => this.#transaction(work));
    if (this.#database.dialect === 'postgres') return run();
    const turn = this.#last.then(run, run);
    this.#last = turn.catch(() => undefined);
    return turn;
  }

  /** When every write begun so far has ended. */
  async settled(): Promise<void> {
    await this.#last;
  }

  async #transaction<T>(work: (tx: WritableRows) => Promise<T>): Promise<T> {
    const runner = this.#database.writer.createQueryRunner();
    try {
      // IMMEDIATE: another process on the same file (a backup, the command line) makes us wait now, not fail at the end.
      await runner.query(this.#database.dialect === 'sqlite' ? 'BEGIN IMMEDIATE' : 'BEGIN');
      const result = await work(new WritableRows(runner));
      await runner.query('COMMIT');
      return result;
    } catch (error) {
      await rollback(runner);
      throw error;
    } finally {
      await runner.release();
    }
  }
}

async function rollback(runner: QueryRunner): Promise<void> {
  try {
    await runner.query('ROLLBACK');
  } catch {
    // The connection is gone or the database rolled back by itself; the first error is the one to tell.
  }
}

/** Makes writers of the journal wait for each other across processes: its chain has one end. */
export async function lockJournal(tx: WritableRows, database: Connections): Promise<void> {
  if (database.dialect === 'postgres') await tx.all(JOURNAL_LOCK);
}
/** Any number does, as long as nothing else in the database uses it. */
const JOURNAL_LOCK = sql`SELECT pg_advisory_xact_lock(7202611)`;
