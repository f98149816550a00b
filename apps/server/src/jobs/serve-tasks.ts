import { parentPort, workerData } from 'node:worker_threads';
import { Refusal } from '../platform/refusals.ts';
import type {
  TaskMessage,
  TaskProgress,
  TaskRequest,
  TaskTold,
  WorkerSettings,
  WorkerStart,
} from './protocol.ts';

/** What a task may use besides its input. */
export interface TaskContext {
  readonly settings: WorkerSettings;
  readonly progress: (progress: TaskProgress) => void;
  /** True once somebody wants it stopped: then answer with the best there is. */
  readonly shouldStop: () => boolean;
  /** Has the server's own thread do something, which only a job's kind that offers it can. */
  readonly ask: <T>(what: string, input: unknown) => Promise<T>;
}

type Handlers = Readonly<Record<string, (input: never, context: TaskContext) => unknown>>;

/** Progress more often than this is of no use to anybody. */
const PROGRESS_EVERY_MS = 100;

/** The worker's side: answers tasks, one after another, until the thread is ended. */
export function serveTasks(handlers: Handlers): void {
  const port = parentPort;
  if (!port) throw new Error('A worker file is started by the server, not run by itself.');
  const say = (message: TaskMessage): void => {
    port.postMessage(message);
  };
  const waiting = new Map<number, (told: TaskTold) => void>();
  const ask = (id: number, what: string, input: unknown): Promise<TaskTold> =>
    new Promise((resolve) => {
      const asked = (asks += 1);
      waiting.set(asked, resolve);
      say({ id, kind: 'ask', asked, what, input });
    });
  let asks = 0;
  let last: Promise<void> = Promise.resolve();
  port.on('message', (message: TaskRequest | TaskTold) => {
    if ('asked' in message) {
      waiting.get(message.asked)?.(message);
      waiting.delete(message.asked);
    } else last = last.then(() => answer(handlers, message, say, ask));
  });
}

async function answer(
  handlers: Handlers,
  { id, task, input, stop }: TaskRequest,
  say: (message: TaskMessage) => void,
  ask: (id: number, what: string, input: unknown) => Promise<TaskTold>,
): Promise<void> {
  const flag = new Int32Array(stop);
  let toldAt = -Infinity;
  const context: TaskContext = {
    settings: workerData as WorkerStart,
    shouldStop: () => Atomics.load(flag, 0) !== 0,
    ask: async <T>(what: string, about: unknown): Promise<T> => {
      const told = await ask(id, what, about);
      if ('failed' in told) throw new Error(told.failed);
      return told.answer as T;
    },
    progress: (progress) => {
      const now = performance.now();
      if (now - toldAt < PROGRESS_EVERY_MS) return;
      toldAt = now;
      say({ id, kind: 'progress', progress });
    },
  };
  try {
    const handler = handlers[task];
    if (!handler) throw new Error(`This worker has no task "${task}".`);
    say({ id, kind: 'answer', answer: await handler(input as never, context) });
  } catch (error) {
    if (error instanceof Refusal) {
      const { status, code, message } = error;
      say({ id, kind: 'refused', refusal: { status, code, message } });
    } else {
      const told = error instanceof Error ? error : new Error(String(error));
      say({ id, kind: 'failed', message: told.message, stack: told.stack ?? '' });
    }
  }
}
