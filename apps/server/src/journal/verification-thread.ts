/** A verification's reading in a thread of its own: while one thread folds, the other reads ahead and hashes. */
import { parentPort, Worker } from 'node:worker_threads';
import { openSource, type ReadEntry, type VerificationSource } from './verification-source.ts';

type Streams = 'entries' | 'state' | 'subjectsMissing';
type Question = Exclude<keyof VerificationSource, Streams>;
type Ask =
  | { readonly id: number; readonly next: string; readonly of: Streams; readonly args: unknown[] }
  | { readonly id: number; readonly question: Question; readonly args: unknown[] };
interface Answer {
  readonly id: number;
  readonly value?: unknown;
  readonly error?: string;
}

/** Portions asked for before the one before has been worked on. */
const AHEAD = 3;

/** What such a thread is started with. */
export interface ReadingStart {
  readonly readsForVerification: string;
}
export const isReadingStart = (data: unknown): data is ReadingStart =>
  typeof data === 'object' && data !== null && 'readsForVerification' in data;

/** The reading thread's side. */
export function serveReading({ readsForVerification: url }: ReadingStart): void {
  const port = parentPort;
  if (!port) throw new Error('A reading thread is started by a verification, not run by itself.');
  const opened = openSource(url);
  const streams = new Map<string, AsyncIterator<unknown>>();
  const answer = async (ask: Ask): Promise<unknown> => {
    const source = await opened;
    if ('question' in ask)
      return (source[ask.question] as (...args: unknown[]) => Promise<unknown>)(...ask.args);
    let stream = streams.get(ask.next);
    if (!stream) {
      const begin = source[ask.of].bind(source) as (...args: unknown[]) => AsyncIterable<unknown>;
      streams.set(ask.next, (stream = begin(...ask.args)[Symbol.asyncIterator]()));
    }
    const step = await stream.next();
    if (step.done === true) return null;
    return ask.of === 'entries' ? packed(step.value as readonly ReadEntry[]) : step.value;
  };
  let last: Promise<void> = Promise.resolve();
  port.on('message', (ask: Ask) => {
    last = last.then(async () => {
      try {
        port.postMessage({ id: ask.id, value: await answer(ask) } satisfies Answer);
      } catch (error) {
        const told = error instanceof Error ? error.message : String(error);
        port.postMessage({ id: ask.id, error: told } satisfies Answer);
      }
      if ('question' in ask && ask.question === 'close') port.close();
    });
  });
}

/** The verification's side: a source that is read in a thread made from this worker file. */
export function readInThread(url: string, workerFile: URL): VerificationSource {
  const worker = new Worker(workerFile, {
    workerData: { readsForVerification: url } satisfies ReadingStart,
    resourceLimits: { maxYoungGenerationSizeMb: 96 },
  });
  const waiting = new Map<number, { resolve: (v: never) => void; reject: (e: Error) => void }>();
  const fail = (error: Error): void => {
    for (const { reject } of waiting.values()) reject(error);
    waiting.clear();
  };
  worker.on('message', ({ id, value, error }: Answer) => {
    const asked = waiting.get(id);
    waiting.delete(id);
    if (error === undefined) asked?.resolve(value as never);
    else asked?.reject(new Error(error));
  });
  worker.on('error', fail);
  worker.on('exit', () => {
    fail(new Error('The reading thread ended.'));
  });
  let ids = 0;
  const send = <T>(ask: Omit<Ask, 'id'>): Promise<T> =>
    new Promise<T>((resolve, reject) => {
      ids += 1;
      waiting.set(ids, { resolve, reject });
      worker.postMessage({ id: ids, ...ask });
    });
  const question =
    <T>(name: Question) =>
    (...args: unknown[]): Promise<T> =>
      send<T>({ question: name, args } as Omit<Ask, 'id'>);
  async function* stream<T>(of: Streams, ...args: unknown[]): AsyncGenerator<T> {
    const next = [of, ...args].join(' ');
    const ask = () => {
      const portion = send<T | null>({ next, of, args } as Omit<Ask, 'id'>);
      // A failure is told when its turn comes.
      portion.catch(() => undefined);
      return portion;
    };
    const coming = Array.from({ length: AHEAD }, ask);
    for (;;) {
      const portion = await coming.shift();
      if (portion === null || portion === undefined) return;
      coming.push(ask());
      yield portion;
    }
  }
  return {
    lastSeq: question('lastSeq'),
    async *entries() {
      for await (const portion of stream<Packed>('entries')) yield unpacked(portion);
    },
    state: () => gathered(stream('state')),
    hashOf: question('hashOf'),
    seqOf: question('seqOf'),
    subjectsMissing: () => gathered(stream('subjectsMissing')),
    subjectRows: question('subjectRows'),
    subjectsBeside: question('subjectsBeside'),
    async close() {
      await question('close')();
    },
  };
}

/** What entries are sent as from thread to thread: their fields one after another, which is much sooner put together than objects. */
interface Packed {
  readonly names: readonly string[];
  readonly values: readonly unknown[];
}

function packed(entries: readonly ReadEntry[]): Packed {
  const names = Object.keys(entries[0] ?? {}) as (keyof ReadEntry)[];
  return { names, values: entries.flatMap((entry) => names.map((name) => entry[name])) };
}

function unpacked({ names, values }: Packed): ReadEntry[] {
  const entries: ReadEntry[] = [];
  for (let i = 0; i < values.length; i += names.length) {
    const entry: Record<string, unknown> = {};
    for (let n = 0; n < names.length; n++) entry[names[n] as string] = values[i + n];
    entries.push(entry as unknown as ReadEntry);
  }
  return entries;
}

/** Reads on by itself from now, and keeps what has come until it is asked for. */
function gathered<T>(portions: AsyncIterable<T>): AsyncIterable<T> {
  const all = (async () => {
    const kept: T[] = [];
    for await (const portion of portions) kept.push(portion);
    return kept;
  })();
  // A failure is told when its turn comes.
  all.catch(() => undefined);
  return {
    async *[Symbol.asyncIterator]() {
      yield* await all;
    },
  };
}
