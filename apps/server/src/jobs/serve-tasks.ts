import { parentPort, workerData } from 'node:worker_threads';
import { Refusal } from '../platform/refusals.ts';
import type {
  TaskMessage,
  TaskProgress,
  TaskRequest,
  WorkerSettings,
  WorkerStart,
} from './protocol.ts';

/** What a task may use besides its input. */
export interface TaskContext {
  readonly settings: WorkerSettings;
  readonly progress: (progress: TaskProgress) => void;
  /** True once somebody wants it stopped: then answer with the best there is. */
  readonly shouldStop: () => boolean;
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
  let last: Promise<void> = Promise.resolve();
  port.on('message', (request: TaskRequest) => {
    last = last.then(() => answer(handlers, request, say));
  });
}

async function answer(
  handlers: Handlers,
  { id, task, input, stop }: TaskRequest,
  say: (message: TaskMessage) => void,
): Promise<void> {
  const flag = new Int32Array(stop);
  let toldAt = -Infinity;
  const context: TaskContext = {
    settings: workerData as WorkerStart,
    shouldStop: () => Atomics.load(flag, 0) !== 0,
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
