import { Worker } from 'node:worker_threads';
import { Refusal } from '../platform/refusals.ts';
import { DatabaseGuard } from './database-guard.ts';
import type {
  TaskAnswer,
  TaskInput,
  TaskMessage,
  TaskProgress,
  TaskRequest,
  Tasks,
  TaskTold,
  WorkerSettings,
  WorkerStart,
} from './protocol.ts';
import { workerFile, type WorkerName } from './worker-file.ts';

export interface RunOptions {
  readonly timeLimitSeconds: number;
  readonly onProgress?: (progress: TaskProgress) => void;
  /** Answers what the task asks of the server's own thread. */
  readonly onAsk?: (what: string, input: unknown) => Promise<unknown>;
  /** Aborted: the task is asked to stop; if it doesn't within the grace time, its thread is ended. */
  readonly signal?: AbortSignal;
}

/** A task was stopped before it could answer. */
export class TaskStopped extends Error {
  override readonly name = 'TaskStopped';
}

/** How long a task that is asked to stop may take to answer with what it has. */
const GRACE_MS = 3000;
/** A worker that needs more than this has lost its way; it alone fails, not the server. */
const MOST_HEAP_MB = 4096;
/** What lives shortly is cleared away in one go when there is room for it: folding a journal, that is a third of the time. */
const YOUNG_HEAP_MB = 96;

/** A call to the database that takes longer than this hangs; its thread is left to itself then. */
const LONGEST_CALL_MS = 60_000;

interface Started {
  readonly worker: Worker;
  readonly guard: DatabaseGuard;
}
interface Waiting {
  readonly request: Omit<TaskRequest, 'id'>;
  readonly options: RunOptions;
  readonly resolve: (answer: unknown) => void;
  readonly reject: (error: unknown) => void;
}
interface Current extends Waiting {
  readonly id: number;
  readonly finish: () => void;
}

/**
 * One worker thread that does one task after another, for as long as there are any; started at the first task and
 * started again when it had to be ended. An idle one does not keep the process alive.
 */
export class WorkerThread<T extends Tasks> {
  readonly #name: WorkerName;
  readonly #settings: WorkerSettings;
  readonly #queue: Waiting[] = [];
  #worker: Promise<Started> | null = null;
  #current: Current | null = null;
  #ids = 0;
  #closed = false;

  constructor(name: WorkerName, settings: WorkerSettings) {
    this.#name = name;
    this.#settings = settings;
  }

  get busy(): boolean {
    return this.#current !== null;
  }

  run<K extends keyof T & string>(
    task: K,
    input: TaskInput<T, K>,
    options: RunOptions,
  ): Promise<TaskAnswer<T, K>> {
    return new Promise<unknown>((resolve, reject) => {
      const request = { task, input, stop: new SharedArrayBuffer(4) };
      this.#queue.push({ request, options, resolve, reject });
      void this.#next();
    }) as Promise<TaskAnswer<T, K>>;
  }

  /** Ends the thread; what it was doing and what was waiting for it is refused. */
  async close(): Promise<void> {
    this.#closed = true;
    await this.#end(new TaskStopped('The server is stopping.'));
    for (const waiting of this.#queue.splice(0))
      waiting.reject(new TaskStopped('The server is stopping.'));
  }

  async #next(): Promise<void> {
    if (this.#current) return;
    const waiting = this.#queue.shift();
    if (!waiting) return;
    const { options, request } = waiting;
    if (this.#closed || options.signal?.aborted) {
      waiting.reject(new TaskStopped('Stopped before it began.'));
      return this.#next();
    }
    const timers: NodeJS.Timeout[] = [];
    const after = (ms: number, then: () => void): void => void timers.push(setTimeout(then, ms));
    const stop = (): void => {
      Atomics.store(new Int32Array(request.stop), 0, 1);
      after(GRACE_MS, () => void this.#end(new TaskStopped('Stopped.')));
    };
    const id = ++this.#ids;
    this.#current = {
      ...waiting,
      id,
      finish: () => {
        for (const timer of timers) clearTimeout(timer);
        options.signal?.removeEventListener('abort', stop);
        this.#current = null;
      },
    };
    options.signal?.addEventListener('abort', stop, { once: true });
    after(options.timeLimitSeconds * 1000, () => {
      void this.#end(
        new Refusal(
          503,
          'took-too-long',
          `This took longer than the ${String(options.timeLimitSeconds)} s it may take and was stopped.`,
        ),
      );
    });
    try {
      const { worker } = await (this.#worker ??= this.#start());
      worker.ref();
      worker.postMessage({ id, ...request } satisfies TaskRequest);
    } catch (error) {
      this.#settle(id, (current) => {
        current.reject(error);
      });
    }
  }

  async #start(): Promise<Started> {
    const guard = DatabaseGuard.newBuffer();
    const worker = new Worker(await workerFile(this.#name), {
      name: this.#name,
      workerData: { ...this.#settings, guard } satisfies WorkerStart,
      resourceLimits: {
        maxOldGenerationSizeMb: MOST_HEAP_MB,
        maxYoungGenerationSizeMb: YOUNG_HEAP_MB,
      },
    });
    worker.on('message', (message: TaskMessage) => {
      this.#hear(message, worker);
    });
    worker.on('error', (error) => void this.#lost(worker, error));
    worker.on('exit', () => void this.#lost(worker, new Error('The worker thread ended.')));
    return { worker, guard: new DatabaseGuard(guard) };
  }

  #hear(message: TaskMessage, worker: Worker): void {
    if (message.kind === 'progress') {
      if (message.id === this.#current?.id) this.#current.options.onProgress?.(message.progress);
      return;
    }
    if (message.kind === 'ask') {
      void this.#tell(message, worker);
      return;
    }
    worker.unref();
    this.#settle(message.id, (current) => {
      if (message.kind === 'answer') current.resolve(message.answer);
      else if (message.kind === 'refused') {
        const { status, code, message: told } = message.refusal;
        current.reject(new Refusal(status, code, told));
      } else {
        const error = new Error(message.message);
        error.stack = message.stack;
        current.reject(error);
      }
    });
  }

  async #tell(
    { id, asked, what, input }: Extract<TaskMessage, { kind: 'ask' }>,
    worker: Worker,
  ): Promise<void> {
    const onAsk = id === this.#current?.id ? this.#current.options.onAsk : undefined;
    let told: TaskTold;
    try {
      if (!onAsk) throw new Error(`Nobody answers "${what}" here.`);
      told = { asked, answer: await onAsk(what, input) };
    } catch (error) {
      told = { asked, failed: error instanceof Error ? error.message : String(error) };
    }
    worker.postMessage(told);
  }

  #settle(id: number, how: (current: Current) => void): void {
    const current = this.#current;
    if (current?.id !== id) return;
    current.finish();
    how(current);
    void this.#next();
  }

  async #end(reason: Error): Promise<void> {
    const starting = this.#worker;
    this.#worker = null;
    const current = this.#current;
    const started = await starting?.catch(() => null);
    if (started && (await started.guard.quiet(LONGEST_CALL_MS))) await started.worker.terminate();
    if (current)
      this.#settle(current.id, ({ reject }) => {
        reject(reason);
      });
  }

  /** The thread died by itself (out of memory, a fault in a library). */
  async #lost(worker: Worker, error: Error): Promise<void> {
    if ((await this.#worker?.catch(() => null))?.worker !== worker) return;
    this.#worker = null;
    if (this.#current)
      this.#settle(this.#current.id, ({ reject }) => {
        reject(error);
      });
  }
}
