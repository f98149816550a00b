import type { Job } from '@rundlet/contracts';
import type { WorkerSettings } from './protocol.ts';
import type { WorkerName } from './worker-file.ts';

/** A kind of work that takes long: which worker's task does it and what is done with its answer. */
export interface JobKind<I = unknown, R = unknown> {
  readonly kind: string;
  readonly worker: WorkerName;
  readonly task: string;
  /** Its jobs are often short and come one after another: a thread is kept for the next for a while. */
  readonly keepsThread?: true;
  timeLimitSeconds(input: I): number;
  /** What the worker may ask of the server's own thread meanwhile: only there is anything written. */
  readonly answers?: Readonly<
    Record<string, (input: never, job: { readonly by: string }) => Promise<unknown>>
  >;
  /**
   * Back in the server's own thread: puts the answer where it belongs and gives what the job is to show for it. Refused or
   * failed here means that the job failed.
   */
  finish(answer: R, job: { readonly id: string; readonly by: string }): Promise<unknown>;
}

/**
 * Work that takes long, away from the requests: started, watched, cancelled by its id. How a job stands is in the
 * database, so that it can be asked for after a restart too.
 */
export abstract class Jobs {
  /** Says how jobs of a kind are done; each feature does so for its own when the server starts. */
  abstract define<I, R>(kind: JobKind<I, R>): void;
  /** @returns the job's id */
  abstract start<I>(kind: string, input: I, by: string): Promise<string>;
  /** While one of the kind waits or runs, whoever asks gets that one. @returns the job's id */
  abstract startOne<I>(kind: string, input: I, by: string): Promise<string>;
  abstract get(id: string): Promise<Job | null>;
  /** Who started it. */
  abstract startedBy(id: string): Promise<string | null>;
  /** The newest job of a kind that waits or runs. */
  abstract underway(kind: string): Promise<string | null>;
  abstract cancel(id: string): Promise<Job | null>;
}

export const workerSettings = (settings: {
  databaseUrl: string;
  dataFolder: string;
}): WorkerSettings => ({ databaseUrl: settings.databaseUrl, dataFolder: settings.dataFolder });
