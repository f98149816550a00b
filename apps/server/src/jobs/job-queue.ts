import type { WritableRows } from '../database/rows.ts';

/** A job whose turn has come: it is this process's to do. */
export interface Taken {
  readonly id: string;
  /** 1 the first time; more when whoever had it before died or was stopped. */
  readonly attempt: number;
}

/** Where jobs wait for a process that is free. How they stand is in the table "job"; here is only whose turn it is. */
export interface JobQueue {
  /** Whether other processes put jobs in and take them out. */
  readonly shared: boolean;
  open(): Promise<void>;
  /** Puts a job in, within the transaction that writes its row. */
  add(tx: WritableRows, id: string, limitSeconds: number): Promise<void>;
  take(): Promise<Taken | null>;
  /** The job is over, however it ended. */
  done(id: string): Promise<void>;
  /** Somebody else is to do it, or this process later. */
  giveBack(id: string): Promise<void>;
  /** Whether the job waits here or somebody has it; null when it is not in the queue. */
  stateOf(id: string): Promise<'waiting' | 'taken' | null>;
  close(): Promise<void>;
}

/** The queue of a single process: what it held is gone with it, and the next start reports the jobs as interrupted. */
export class MemoryQueue implements JobQueue {
  readonly shared = false;
  readonly #waiting: string[] = [];
  readonly #taken = new Set<string>();

  async open(): Promise<void> {}

  async add(_: WritableRows, id: string): Promise<void> {
    this.#waiting.push(id);
  }

  async take(): Promise<Taken | null> {
    const id = this.#waiting.shift();
    if (id === undefined) return null;
    this.#taken.add(id);
    return { id, attempt: 1 };
  }

  async done(id: string): Promise<void> {
    this.#taken.delete(id);
  }

  async giveBack(id: string): Promise<void> {
    this.#taken.delete(id);
  }

  async stateOf(id: string): Promise<'waiting' | 'taken' | null> {
    if (this.#taken.has(id)) return 'taken';
    return this.#waiting.includes(id) ? 'waiting' : null;
  }

  async close(): Promise<void> {}
}
