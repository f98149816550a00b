import { availableParallelism } from 'node:os';
import {
  Inject,
  Injectable,
  type BeforeApplicationShutdown,
  type OnApplicationBootstrap,
  type OnModuleInit,
} from '@nestjs/common';
import type { Job } from '@rundlet/contracts';
import { DomainError } from '@rundlet/domain';
import { v7 as uuid } from 'uuid';
import { dialectOf } from '../database/data-source.ts';
import { Reader } from '../database/reader.ts';
import { UnitOfWork } from '../database/unit-of-work.ts';
import { Clock } from '../platform/clock.ts';
import { Log } from '../platform/log.ts';
import { Refusal } from '../platform/refusals.ts';
import { SETTINGS, type Settings } from '../platform/settings.ts';
import { BossQueue } from './boss-queue.ts';
import { MemoryQueue, type JobQueue, type Taken } from './job-queue.ts';
import { JobRows, jobOf, type JobRow } from './job-rows.ts';
import { Jobs, workerSettings, type JobKind } from './jobs.ts';
import type { TaskProgress, Tasks } from './protocol.ts';
import { TaskStopped, WorkerThread } from './worker-thread.ts';

/** Jobs calculate without pause: one fewer than there are cores, so that requests keep one. */
const MOST_AT_ONCE = Math.max(1, availableParallelism() - 1);
const KEEP_DAYS = 60;
const DAY_MS = 86_400_000;
/** How often a run says that it is alive, and looks for jobs that others put in. */
export const BEAT_MS = 1000;
/** A run that has not been heard of for so long is dead. Told by the listener's own clock, so that clocks need not agree. */
const DEAD_AFTER_MS = 10_000;
const SWEEP_MS = 2000;
const TRY_AGAIN_MS = 1000;
/** How long a thread waits for another job of its kind. */
const KEEP_THREAD_MS = 30_000;
export const INTERRUPTED = 'Interrupted: the server was stopped while this ran. Start it again.';

interface Live {
  readonly row: JobRow;
  readonly thread: WorkerThread<Tasks>;
  readonly stop: AbortController;
  progress: TaskProgress;
  /** Another run has taken the job over. */
  lost: boolean;
}

/** Jobs in worker threads, each in one of its own that ends with it. They wait in a queue that other processes may share. */
@Injectable()
export class ThreadJobs
  extends Jobs
  implements OnModuleInit, OnApplicationBootstrap, BeforeApplicationShutdown
{
  readonly #run = uuid();
  readonly #kinds = new Map<string, JobKind>();
  readonly #live = new Map<string, Live>();
  readonly #runs = new Set<Promise<void>>();
  readonly #rows: JobRows;
  readonly #queue: JobQueue;
  readonly #timers: NodeJS.Timeout[] = [];
  /** Threads without a job, by kind. */
  readonly #kept = new Map<string, { thread: WorkerThread<Tasks>; ends: NodeJS.Timeout }>();
  /** Since when each running job's beat has stood where it stands. */
  readonly #heard = new Map<string, Pick<JobRow, 'runBy' | 'beat'> & { since: number }>();
  #looking: Promise<void> = Promise.resolve();
  #shutDown = false;

  constructor(
    reader: Reader,
    work: UnitOfWork,
    private readonly clock: Clock,
    private readonly log: Log,
    @Inject(SETTINGS) private readonly settings: Settings,
  ) {
    super();
    this.#rows = new JobRows(reader, work);
    this.#queue =
      dialectOf(settings.databaseUrl) === 'postgres'
        ? new BossQueue(settings.databaseUrl, log)
        : new MemoryQueue();
  }

  async onModuleInit(): Promise<void> {
    await this.#queue.open();
    await this.#rows.forget(this.clock.ago(KEEP_DAYS * DAY_MS));
    await this.#sweep();
  }

  /** By now every feature has said how its jobs are done. */
  onApplicationBootstrap(): void {
    if (!this.#queue.shared) return;
    this.#every(BEAT_MS, () => this.#look());
    this.#every(SWEEP_MS, () => this.#sweep());
  }

  async beforeApplicationShutdown(): Promise<void> {
    this.#shutDown = true;
    for (const timer of this.#timers) clearInterval(timer);
    await this.#looking;
    await Promise.all([...this.#live.values()].map(({ thread }) => thread.close()));
    await Promise.all(this.#runs);
    await Promise.all([...this.#kept.keys()].map(async (kind) => this.#keptThread(kind)?.close()));
    await this.#queue.close();
  }

  define<I, R>(kind: JobKind<I, R>): void {
    this.#kinds.set(kind.kind, kind);
  }

  start<I>(kind: string, input: I, by: string): Promise<string> {
    return this.#start(kind, input, by, false);
  }

  startOne<I>(kind: string, input: I, by: string): Promise<string> {
    return this.#start(kind, input, by, true);
  }

  async #start(kind: string, input: unknown, by: string, oneOfItsKind: boolean): Promise<string> {
    const limitSeconds = Math.ceil(this.#kind(kind).timeLimitSeconds(input));
    const row: JobRow = {
      id: uuid(),
      kind,
      status: 'waiting',
      progress: null,
      request: JSON.stringify(input),
      detail: '{}',
      result: null,
      error: null,
      createdBy: by,
      createdAt: this.clock.instant(),
      startedAt: null,
      finishedAt: null,
      runBy: null,
      beat: null,
      cancelAskedAt: null,
    };
    const id = await this.#rows.insert(row, oneOfItsKind, (tx) =>
      this.#queue.add(tx, row.id, limitSeconds),
    );
    void this.#look();
    return id;
  }

  async get(id: string): Promise<Job | null> {
    const row = await this.#rows.byId(id);
    if (!row) return null;
    const job = jobOf(row);
    const live = this.#live.get(id);
    if (!live || job.finishedAt) return job;
    return {
      ...job,
      status: 'running',
      progress: live.progress.share,
      detail: live.progress.detail,
    };
  }

  async startedBy(id: string): Promise<string | null> {
    return (await this.#rows.byId(id))?.createdBy ?? null;
  }

  async underway(kind: string): Promise<string | null> {
    return (await this.#rows.underway(kind))?.id ?? null;
  }

  async cancel(id: string): Promise<Job | null> {
    await this.#rows.askToCancel(id, this.clock.instant());
    this.#live.get(id)?.stop.abort();
    return this.get(id);
  }

  #kind(kind: string): JobKind {
    const defined = this.#kinds.get(kind);
    if (!defined) throw new Error(`There is no kind of job "${kind}".`);
    return defined;
  }

  #every(ms: number, work: () => Promise<void>): void {
    const timer = setInterval(() => {
      work().catch((error: unknown) => {
        this.log.failure('jobs could not be looked after', error);
      });
    }, ms);
    this.#timers.push(timer.unref());
  }

  /** Takes jobs as long as there is room for them; one look at a time. */
  #look(): Promise<void> {
    this.#looking = this.#looking
      .then(() => this.#takeAll())
      .catch((error: unknown) => {
        this.log.failure('no job could be taken', error);
      });
    return this.#looking;
  }

  async #takeAll(): Promise<void> {
    while (!this.#shutDown && this.#runs.size < MOST_AT_ONCE) {
      const taken = await this.#queue.take();
      if (!taken) return;
      const run = this.#do(taken)
        .catch((error: unknown) => {
          this.log.failure('a job could not be seen through', error, { jobId: taken.id });
        })
        .finally(() => {
          this.#runs.delete(run);
          void this.#look();
        });
      this.#runs.add(run);
    }
  }

  async #do({ id, attempt }: Taken): Promise<void> {
    const row = await this.#untilDone(() => this.#rows.begin(id, this.#run, this.clock.instant()));
    if (row) {
      const began = performance.now();
      this.log.info('job begun', { jobId: id, kind: row.kind, attempt });
      const live: Live = {
        row,
        thread:
          this.#keptThread(row.kind) ??
          new WorkerThread<Tasks>(this.#kind(row.kind).worker, workerSettings(this.settings)),
        stop: new AbortController(),
        progress: { share: null, detail: {} },
        lost: false,
      };
      if (row.cancelAskedAt !== null) live.stop.abort();
      this.#live.set(id, live);
      const beats = this.#queue.shared
        ? setInterval(() => void this.#beat(live), BEAT_MS)
        : undefined;
      try {
        const end = await this.#work(live);
        if (end === null) {
          if (await this.#rows.release(id, this.#run)) await this.#queue.giveBack(id);
          return;
        }
        await this.#untilDone(() => this.#rows.end(id, this.#run, end));
      } finally {
        clearInterval(beats);
        this.#live.delete(id);
        await this.#keepOrClose(live);
        this.log.info('job ended', {
          jobId: id,
          kind: row.kind,
          ms: Math.round(performance.now() - began),
        });
      }
    }
    await this.#untilDone(() => this.#queue.done(id));
  }

  async #keepOrClose({ row: { kind }, thread, stop }: Live): Promise<void> {
    const isWanted = this.#kind(kind).keepsThread && !this.#shutDown && !this.#kept.has(kind);
    // One that was told to stop may still be at it.
    if (!isWanted || stop.signal.aborted) return thread.close();
    const ends = setTimeout(() => void this.#keptThread(kind)?.close(), KEEP_THREAD_MS).unref();
    this.#kept.set(kind, { thread, ends });
  }

  #keptThread(kind: string): WorkerThread<Tasks> | null {
    const kept = this.#kept.get(kind);
    if (!kept) return null;
    clearTimeout(kept.ends);
    this.#kept.delete(kind);
    return kept.thread;
  }

  /** How the job ended; null when it is to be done elsewhere, because this server stops. */
  async #work(live: Live): Promise<Parameters<JobRows['end']>[2] | null> {
    const { row, thread, stop } = live;
    const ended = (status: Job['status'], result: unknown, error: string | null) => ({
      status,
      progress: status === 'done' ? 1 : live.progress.share,
      detail: JSON.stringify(live.progress.detail),
      result: result === null || result === undefined ? null : JSON.stringify(result),
      error,
      finishedAt: this.clock.instant(),
    });
    try {
      const kind = this.#kind(row.kind);
      const input: unknown = JSON.parse(row.request);
      const answer: unknown = await thread.run(kind.task, input as never, {
        timeLimitSeconds: kind.timeLimitSeconds(input),
        signal: stop.signal,
        onProgress: (progress) => {
          live.progress = progress;
        },
        onAsk: async (what, about) => {
          const answer = kind.answers?.[what];
          if (!answer || live.lost)
            throw new Error(`A job of this kind can't have "${what}" done.`);
          return answer(about as never, { by: row.createdBy });
        },
      });
      if (live.lost) return null;
      const result = await kind.finish(answer, { id: row.id, by: row.createdBy });
      return ended(stop.signal.aborted ? 'cancelled' : 'done', result, null);
    } catch (error) {
      if (this.#shutDown || live.lost) return null;
      if (error instanceof TaskStopped) return ended('cancelled', null, null);
      const told = error instanceof Refusal || error instanceof DomainError;
      if (!told) this.log.failure('job failed', error, { jobId: row.id, kind: row.kind });
      return ended('failed', null, error instanceof Error ? error.message : String(error));
    }
  }

  async #beat(live: Live): Promise<void> {
    const { share, detail } = live.progress;
    try {
      const row = await this.#rows.beat(live.row.id, this.#run, share, JSON.stringify(detail));
      if (row && row.cancelAskedAt === null) return;
      live.lost = row === null && this.#live.has(live.row.id);
      live.stop.abort();
    } catch (error) {
      // The database is away: the work goes on, and if it stays away another run begins anew.
      this.log.failure('a job could not say how it stands', error, { jobId: live.row.id });
    }
  }

  /** What has been worked out is not thrown away because the database is away for a moment. */
  async #untilDone<T>(work: () => Promise<T>): Promise<T> {
    for (;;)
      try {
        return await work();
      } catch (error) {
        if (this.#shutDown) throw error;
        this.log.failure('how a job stands could not be written yet', error);
        await new Promise((go) => setTimeout(go, TRY_AGAIN_MS).unref());
      }
  }

  /** Finds jobs whose run has died, and lets another begin them; what no queue knows any more is reported. */
  async #sweep(): Promise<void> {
    const rows = await this.#rows.allUnderway();
    for (const id of this.#heard.keys())
      if (!rows.some((row) => row.id === id)) this.#heard.delete(id);
    for (const row of rows) {
      const state = await this.#queue.stateOf(row.id);
      if (state === null)
        await this.#rows.end(row.id, row.runBy, {
          ...row,
          status: 'failed',
          error: INTERRUPTED,
          finishedAt: this.clock.instant(),
        });
      else if (state === 'waiting' || row.runBy === this.#run) this.#heard.delete(row.id);
      else if (this.#isDead(row))
        // One without a run was taken by a process that died before it began.
        if (row.runBy === null || (await this.#rows.release(row.id, row.runBy, row.beat ?? 0)))
          await this.#queue.giveBack(row.id);
    }
  }

  #isDead({ id, runBy, beat }: JobRow): boolean {
    const now = performance.now();
    const heard = this.#heard.get(id);
    if (heard?.runBy === runBy && heard.beat === beat) return now - heard.since > DEAD_AFTER_MS;
    this.#heard.set(id, { runBy, beat, since: now });
    return false;
  }
}
