import { AsyncLocalStorage } from 'node:async_hooks';
import type { QueryRunner } from 'typeorm';
import sql, { type Sql } from 'sql-template-tag';
import type { Connections } from './data-source.ts';
import { WritableRows } from './rows.ts';

/** What one transaction does at a time, in whichever process of the server: the journal's chain has one end. */
export type Turn =
  'journal' | 'people' | 'sign-in' | 'jobs' | 'checkpoint' | 'signing-key' | 'demo-people';

/**
 * The only way to write. TypeORM gives SQLite one connection for the whole process, so two overlapping transactions would
 * share a BEGIN and the second would vanish if the first rolled back; here they wait for each other instead. On PostgreSQL
 * they overlap, and those that must not name their turn.
 */
export class UnitOfWork {
  readonly #database: Connections;
  readonly #inside = new AsyncLocalStorage<true>();
  readonly #underway = new Set<Promise<unknown>>();
  /** The last that waits for each turn in this process. On SQLite all transactions share one. */
  readonly #last = new Map<string, Promise<unknown>>();

  constructor(database: Connections) {
    this.#database = database;
  }

  /**
   * Runs `work` in one transaction: all of it is committed and on disk when the promise resolves, or none of it. With a turn,
   * it sees all that earlier ones of that turn have written, and no other of them runs meanwhile.
   */
  write<T>(work: (tx: WritableRows) => Promise<T>, turn?: Turn): Promise<T> {
    if (this.#inside.getStore())
      throw new Error('A unit of work cannot be started inside another one.');
    const run = () => this.#inside.run(true, () => this.#transaction(work, turn));
    const queue = this.#database.dialect === 'sqlite' ? 'sqlite' : turn && `write ${turn}`;
    return this.#noted(queue === undefined ? run() : this.#after(queue, run));
  }

  /** Runs work of several transactions while nobody else, in whichever process, does any of this turn. */
  alone<T>(turn: Turn, work: () => Promise<T>): Promise<T> {
    const run = (): Promise<T> =>
      this.#database.dialect === 'sqlite' ? work() : this.#transaction(work, turn);
    return this.#noted(this.#after(`alone ${turn}`, run));
  }

  /** When everything begun so far has ended. */
  async settled(): Promise<void> {
    await Promise.allSettled(this.#underway);
  }

  /** One of this process waits in the database at most, so that the waiting can't take every connection. */
  #after<T>(queue: string, run: () => Promise<T>): Promise<T> {
    const turn = (this.#last.get(queue) ?? Promise.resolve()).then(run, run);
    this.#last.set(
      queue,
      turn.catch(() => undefined),
    );
    return turn;
  }

  #noted<T>(work: Promise<T>): Promise<T> {
    this.#underway.add(work);
    const over = () => this.#underway.delete(work);
    work.then(over, over);
    return work;
  }

  async #transaction<T>(work: (tx: WritableRows) => Promise<T>, turn?: Turn): Promise<T> {
    const runner = this.#database.writer.createQueryRunner();
    try {
      // IMMEDIATE: another process on the same file (a backup, the command line) makes us wait now, not fail at the end.
      await runner.query(this.#database.dialect === 'sqlite' ? 'BEGIN IMMEDIATE' : 'BEGIN');
      const tx = new WritableRows(runner);
      if (turn && this.#database.dialect === 'postgres') await tx.all(lockOf(turn));
      const result = await work(tx);
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

/** Any number does in the first place, as long as nothing else in the database uses it; an estate in another schema does not wait. */
const lockOf = (turn: Turn): Sql =>
  sql`SELECT pg_advisory_xact_lock(7202611, hashtext(current_schema() || ' ' || ${turn}))`;

async function rollback(runner: QueryRunner): Promise<void> {
  try {
    await runner.query('ROLLBACK');
  } catch {
    // The connection is gone or the database rolled back by itself; the first error is the one to tell.
  }
}
