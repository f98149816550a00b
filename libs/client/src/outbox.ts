/**
 * Acts that wait on a device until the server has them. Pure: storage, sending and the clock are handed in, so the same
 * queue runs in a browser over IndexedDB and in a test over an array.
 *
 * Acts go out in the order they were made. The server applies each once by its id, so sending one twice is harmless and
 * an answer that got lost is no trouble. Nothing leaves the outbox unless it was applied or a person takes it off.
 */
import type { Act, ActResult, Problem } from '@rundlet/contracts';
import { RefusedError, UnreachableError } from './client.ts';
import type { Door, KeptBytes } from './door.ts';

/**
 * `waiting`: not sent yet. `sent`: applied. `held`: the server kept it for a keeper to settle.
 * `needs-attention`: refused for good; somebody has to look at it.
 */
export type OutboxState = 'waiting' | 'sent' | 'held' | 'needs-attention';

/** Who made an act; it goes out under no other name unless a person says so. */
export interface OutboxPerson {
  readonly id: string;
  readonly name: string;
}

export interface OutboxItem {
  /** The act's own id: the queue is idempotent by it. */
  readonly id: string;
  /** Order in which this device made the acts. */
  readonly sequence: number;
  readonly act: Act;
  /** Null where nobody in particular is signed in, as with a device's token. */
  readonly by: OutboxPerson | null;
  /** What the act does, for people. */
  readonly words: string;
  readonly state: OutboxState;
  readonly addedAt: string;
  readonly settledAt: string | null;
  readonly tries: number;
  readonly problem: Problem | null;
  /** What the act has attached; gone once it was applied. Items of an older program have none. */
  readonly files?: readonly KeptBytes[];
}

/** Where the queue is kept. Each call is durable when its promise resolves. */
export interface OutboxStorage {
  /** All items, by sequence. */
  all(): Promise<readonly OutboxItem[]>;
  get(id: string): Promise<OutboxItem | undefined>;
  /** Keeps a new item under the next sequence, or gives back the one that has its id already. */
  add(item: Omit<OutboxItem, 'sequence'>): Promise<OutboxItem>;
  replace(item: OutboxItem): Promise<void>;
  remove(id: string): Promise<void>;
}

/** Why a drain stopped. */
export type DrainStop = 'empty' | 'unreachable' | 'sign-in-needed' | 'try-later';
export interface DrainReport {
  readonly stop: DrainStop;
  readonly applied: number;
  readonly held: number;
  readonly refused: number;
}

export interface OutboxOptions extends Pick<Door, 'send'>, Partial<Pick<Door, 'upload'>> {
  readonly storage: OutboxStorage;
  /** ISO instant in UTC. */
  readonly now: () => string;
  /** Who sends just now: what others made here waits for them. Left out, everything is sent. */
  readonly sender?: () => OutboxPerson | null;
  /** Acts in one request. */
  readonly batchSize?: number;
  /** Called after every change of the queue. */
  readonly changed?: () => void;
}

export class Outbox {
  readonly #options: OutboxOptions;
  /** Hashes the server has taken since this outbox was made. */
  readonly #uploaded = new Set<string>();
  constructor(options: OutboxOptions) {
    this.#options = options;
  }

  /** Keeps an act. The same id again changes nothing. */
  async add(act: Act, words: string, files: readonly KeptBytes[] = []): Promise<OutboxItem> {
    const item = await this.#options.storage.add({
      id: act.id,
      act: { ...act, offline: true },
      by: this.#options.sender?.() ?? null,
      words,
      state: 'waiting',
      addedAt: this.#options.now(),
      settledAt: null,
      tries: 0,
      problem: null,
      files,
    });
    this.#options.changed?.();
    return item;
  }

  /**
   * Sends what waits, oldest first, until nothing waits or the server cannot be had. One caller at a time: in a browser
   * hold a lock around it. A parked act does not hold up those behind it. `batches`: stop after so many requests.
   */
  async drain({ batches = Infinity }: { batches?: number } = {}): Promise<DrainReport> {
    const tally = { applied: 0, held: 0, refused: 0 };
    const limit = this.#options.batchSize ?? 50;
    let size = limit;
    for (let sent = 0; ; sent++) {
      const items = await this.#options.storage.all();
      const batch = items
        .filter((item) => item.state === 'waiting' && this.#mayGo(item))
        .slice(0, size);
      if (batch.length === 0) return { stop: 'empty', ...tally };
      if (sent >= batches) return { stop: 'try-later', ...tally };
      let results: readonly ActResult[];
      try {
        await this.#uploadFilesOf(batch);
        results = await this.#options.send(batch.map((item) => item.act));
      } catch (error) {
        const stop = stopFor(error);
        if (stop !== null) {
          await this.#countTries(batch);
          return { stop, ...tally };
        }
        // The request as a whole was refused. Find the act at fault by sending one at a time.
        if (batch.length > 1) {
          size = 1;
          continue;
        }
        await this.#settle(batch[0] as OutboxItem, 'needs-attention', problemOf(error));
        tally.refused++;
        size = limit;
        continue;
      }
      if (!(await this.#take(batch, results, tally))) return { stop: 'try-later', ...tally };
      size = limit;
    }
  }

  /**
   * Asks what became of the acts the server held: sent again they change nothing, and the answer says whether a keeper,
   * or an entry that came later, has let them through.
   * @throws what `send` throws
   */
  async askAboutHeld(): Promise<void> {
    const held = (await this.#options.storage.all()).filter(
      (item) => item.state === 'held' && this.#mayGo(item),
    );
    const size = this.#options.batchSize ?? 50;
    for (let from = 0; from < held.length; from += size) {
      const batch = held.slice(from, from + size);
      const results = await this.#options.send(batch.map((item) => item.act));
      await this.#take(batch, results, { applied: 0, held: 0, refused: 0 });
    }
  }

  /** Puts a parked act back in the queue, to be sent again unchanged. */
  async retry(id: string): Promise<void> {
    const item = await this.#options.storage.get(id);
    if (!item || item.state === 'sent') return;
    for (const { sha256 } of item.files ?? []) this.#uploaded.delete(sha256);
    await this.#options.storage.replace({ ...item, state: 'waiting', settledAt: null });
    this.#options.changed?.();
  }

  /** Lets an act somebody else made here go out under the sender's name. */
  async adopt(id: string): Promise<void> {
    const item = await this.#options.storage.get(id);
    if (!item) return;
    await this.#options.storage.replace({ ...item, by: this.#options.sender?.() ?? null });
    this.#options.changed?.();
  }

  /** Takes an act off the device. Only ever at a person's word, or once it was applied. */
  async remove(id: string): Promise<void> {
    await this.#options.storage.remove(id);
    this.#options.changed?.();
  }

  /** Takes off what was applied before `instant`. */
  async forgetSentBefore(instant: string): Promise<void> {
    for (const item of await this.#options.storage.all())
      if (item.state === 'sent' && (item.settledAt ?? item.addedAt) < instant)
        await this.#options.storage.remove(item.id);
    this.#options.changed?.();
  }

  async #uploadFilesOf(batch: readonly OutboxItem[]): Promise<void> {
    for (const file of batch.flatMap((item) => item.files ?? [])) {
      if (this.#uploaded.has(file.sha256)) continue;
      await this.#options.upload?.(file);
      this.#uploaded.add(file.sha256);
    }
  }

  #mayGo(item: OutboxItem): boolean {
    const { sender } = this.#options;
    return sender === undefined || item.by === null || item.by.id === sender()?.id;
  }

  /** Books the results; false when the server answered for none of the batch, so that a faulty one cannot spin. */
  async #take(
    batch: readonly OutboxItem[],
    results: readonly ActResult[],
    tally: { applied: number; held: number; refused: number },
  ): Promise<boolean> {
    let settled = 0;
    const byId = new Map(results.map((result) => [result.id, result]));
    for (const item of batch) {
      const result = byId.get(item.id);
      if (!result) continue;
      settled++;
      if (result.status === 'held') {
        tally.held++;
        await this.#settle(item, 'held', result.problem);
      } else if (result.status === 'refused') {
        tally.refused++;
        await this.#settle(item, 'needs-attention', result.problem);
      } else {
        tally.applied++;
        await this.#settle(item, 'sent', null);
      }
    }
    return settled > 0;
  }

  async #settle(item: OutboxItem, state: OutboxState, problem: Problem | null): Promise<void> {
    await this.#options.storage.replace({
      ...item,
      state,
      problem,
      ...(state === 'sent' ? { files: [] } : {}),
      tries: item.tries + 1,
      settledAt: this.#options.now(),
    });
    this.#options.changed?.();
  }

  async #countTries(batch: readonly OutboxItem[]): Promise<void> {
    for (const item of batch)
      await this.#options.storage.replace({ ...item, tries: item.tries + 1 });
    this.#options.changed?.();
  }
}

/** What ends a drain and leaves the queue as it is; null for a refusal that concerns the acts themselves. */
function stopFor(error: unknown): DrainStop | null {
  if (error instanceof UnreachableError) return 'unreachable';
  if (!(error instanceof RefusedError)) throw error;
  const { status } = error.problem;
  if (status === 401) return 'sign-in-needed';
  return status >= 500 || [408, 409, 425, 429].includes(status) ? 'try-later' : null;
}

const problemOf = (error: unknown): Problem =>
  error instanceof RefusedError
    ? error.problem
    : { type: 'about:blank', title: String(error), status: 0 };
