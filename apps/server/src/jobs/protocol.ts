/** What the server and its worker threads say to each other. Everything here is copied between threads. */

/** What every worker needs to know. */
export interface WorkerSettings {
  readonly databaseUrl: string;
  readonly dataFolder: string;
}
/** What a thread is started with. */
export interface WorkerStart extends WorkerSettings {
  /** Two Int32, see {@link DatabaseGuard}. */
  readonly guard: SharedArrayBuffer;
}

/** A worker's tasks by name: what each takes and what it answers. */
export type Tasks = Readonly<Record<string, (input: never, context: never) => unknown>>;
export type TaskInput<T extends Tasks, K extends keyof T> = Parameters<T[K]>[0];
export type TaskAnswer<T extends Tasks, K extends keyof T> = Awaited<ReturnType<T[K]>>;

export interface TaskRequest {
  readonly id: number;
  readonly task: string;
  readonly input: unknown;
  /** One Int32; not 0 means: stop and answer with what there is. Seen even by a thread that is busy calculating. */
  readonly stop: SharedArrayBuffer;
}

export interface TaskProgress {
  /** 0 to 1, null where it can't be told. */
  readonly share: number | null;
  readonly detail: Readonly<Record<string, unknown>>;
}

/** What the server says back to a task that asked it something. */
export type TaskTold =
  | { readonly asked: number; readonly answer: unknown }
  | { readonly asked: number; readonly failed: string };

export type TaskMessage =
  | { readonly id: number; readonly kind: 'progress'; readonly progress: TaskProgress }
  /** Something that only the server's own thread can do or knows. */
  | {
      readonly id: number;
      readonly kind: 'ask';
      readonly asked: number;
      readonly what: string;
      readonly input: unknown;
    }
  | { readonly id: number; readonly kind: 'answer'; readonly answer: unknown }
  | { readonly id: number; readonly kind: 'refused'; readonly refusal: PlainRefusal }
  | {
      readonly id: number;
      readonly kind: 'failed';
      readonly message: string;
      readonly stack: string;
    };

/** A refusal without its class, which does not survive the way between threads. */
export interface PlainRefusal {
  readonly status: number;
  readonly code: string;
  readonly message: string;
}
