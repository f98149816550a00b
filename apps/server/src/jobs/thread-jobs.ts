import { availableParallelism } from 'node:os';
import {
  Inject,
  Injectable,
  type BeforeApplicationShutdown,
  type OnModuleInit,
} from '@nestjs/common';
import type { Job } from '@rundlet/contracts';
import { DomainError } from '@rundlet/domain';
import { v7 as uuid } from 'uuid';
import { Reader } from '../database/reader.ts';
import { UnitOfWork } from '../database/unit-of-work.ts';
import { Clock } from '../platform/clock.ts';
import { Log } from '../platform/log.ts';
import { Refusal } from '../platform/refusals.ts';
import { SETTINGS, type Settings } from '../platform/settings.ts';
import { JobRows, jobOf } from './job-rows.ts';
import { Jobs, workerSettings, type JobKind } from './jobs.ts';
import type { TaskProgress, Tasks } from './protocol.ts';
import { TaskStopped, WorkerThread } from './worker-thread.ts';

/** Jobs calculate without pause: one fewer than there are cores, so that requests keep one. */
const MOST_AT_ONCE = Math.max(1, availableParallelism() - 1);
const KEEP_DAYS = 60;
const DAY_MS = 86_400_000;
export const INTERRUPTED = 'Interrupted: the server was stopped while this ran. Start it again.';

interface Live {
  readonly id: string;
  readonly kind: JobKind;
  readonly input: unknown;
  readonly by: string;
  readonly stop: AbortController;
  progress: TaskProgress;
  /** Null while it waits. */
  thread: WorkerThread<Tasks> | null;
}

/** Jobs in worker threads of this process, each in a thread of its own that ends with it. */
@Injectable()
export class ThreadJobs extends Jobs implements OnModuleInit, BeforeApplicationShutdown {
  readonly #kinds = new Map<string, JobKind>();
  readonly #live = new Map<string, Live>();
  readonly #rows: JobRows;
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
  }

  async onModuleInit(): Promise<void> {
    await this.#rows.tidy(INTERRUPTED, this.clock.instant(), this.clock.ago(KEEP_DAYS * DAY_MS));
  }

  async beforeApplicationShutdown(): Promise<void> {
    this.#shutDown = true;
    await Promise.all([...this.#live.values()].map(async ({ thread }) => thread?.close()));
    await this.#rows.tidy(INTERRUPTED, this.clock.instant(), '');
  }

  define<I, R>(kind: JobKind<I, R>): void {
    this.#kinds.set(kind.kind, kind);
  }

  async start<I>(kind: string, input: I, by: string): Promise<string> {
    const defined = this.#kinds.get(kind);
    if (!defined) throw new Error(`There is no kind of job "${kind}".`);
    const id = uuid();
    await this.#rows.insert({
      id,
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
    });
    const progress = { share: null, detail: {} };
    const stop = new AbortController();
    this.#live.set(id, { id, kind: defined, input, by, stop, progress, thread: null });
    if (!this.#shutDown) this.#startNext();
    return id;
  }

  async get(id: string): Promise<Job | null> {
    const row = await this.#rows.byId(id);
    if (!row) return null;
    const job = jobOf(row);
    const live = this.#live.get(id);
    if (!live?.thread || job.finishedAt) return job;
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
    const live = this.#live.get(id);
    live?.stop.abort();
    if (live && !live.thread) {
      this.#live.delete(id);
      await this.#end(live, 'cancelled', null, null);
    }
    return this.get(id);
  }

  #startNext(): void {
    const all = [...this.#live.values()];
    const free = MOST_AT_ONCE - all.filter(({ thread }) => thread).length;
    for (const live of all.filter(({ thread }) => !thread).slice(0, Math.max(0, free))) {
      const thread = new WorkerThread<Tasks>(live.kind.worker, workerSettings(this.settings));
      live.thread = thread;
      void this.#run(live, thread).finally(() => {
        this.#live.delete(live.id);
        if (!this.#shutDown) this.#startNext();
      });
    }
  }

  async #run(live: Live, thread: WorkerThread<Tasks>): Promise<void> {
    const { id, kind, input, by, stop } = live;
    const began = performance.now();
    try {
      await this.#rows.started(id, this.clock.instant());
      const answer: unknown = await thread.run(kind.task, input as never, {
        timeLimitSeconds: kind.timeLimitSeconds(input),
        signal: stop.signal,
        onProgress: (progress) => {
          live.progress = progress;
        },
      });
      if (this.#shutDown) return;
      const result = await kind.finish(answer, { id, by });
      await this.#end(live, stop.signal.aborted ? 'cancelled' : 'done', result, null);
    } catch (error) {
      if (this.#shutDown) return;
      if (error instanceof TaskStopped) await this.#end(live, 'cancelled', null, null);
      else {
        const told = error instanceof Refusal || error instanceof DomainError;
        if (!told) this.log.failure('job failed', error, { jobId: id, kind: kind.kind });
        await this.#end(
          live,
          'failed',
          null,
          error instanceof Error ? error.message : String(error),
        );
      }
    } finally {
      await thread.close();
      this.log.info('job ended', {
        jobId: id,
        kind: kind.kind,
        ms: Math.round(performance.now() - began),
      });
    }
  }

  async #end(
    live: Live,
    status: Job['status'],
    result: unknown,
    error: string | null,
  ): Promise<void> {
    await this.#rows.ended(live.id, {
      status,
      progress: status === 'done' ? 1 : live.progress.share,
      detail: JSON.stringify(live.progress.detail),
      result: result === null || result === undefined ? null : JSON.stringify(result),
      error,
      finishedAt: this.clock.instant(),
    });
  }
}
