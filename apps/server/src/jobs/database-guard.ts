/**
 * Keeps a thread from being ended in the middle of a call to the database. SQLite's driver is native code that brings the whole
 * process down if its thread is ended while it hands rows over (reproduced); between calls a thread may be ended at any
 * time. The thread counts its calls in before it looks whether it is to end, the server says so before it looks
 * at the count: whichever comes first, no call begins after the server has seen none.
 */
export class DatabaseGuard {
  readonly #shared: Int32Array;

  constructor(buffer: SharedArrayBuffer) {
    this.#shared = new Int32Array(buffer);
  }

  static newBuffer(): SharedArrayBuffer {
    return new SharedArrayBuffer(2 * Int32Array.BYTES_PER_ELEMENT);
  }

  /** In the thread: does the call, unless the thread is about to be ended; then it waits for that. */
  async call<T>(work: () => Promise<T>): Promise<T> {
    Atomics.add(this.#shared, CALLS, 1);
    if (Atomics.load(this.#shared, ENDING) !== 0) {
      Atomics.sub(this.#shared, CALLS, 1);
      return new Promise<T>(() => undefined);
    }
    try {
      return await work();
    } finally {
      // The driver's answer runs what waits for it inside its own native frame; what follows must not run there.
      await new Promise((go) => setImmediate(go));
      Atomics.sub(this.#shared, CALLS, 1);
    }
  }

  /** In the server: no further call begins; resolves when none is going on. False if one doesn't come to an end. */
  async quiet(withinMs: number): Promise<boolean> {
    Atomics.store(this.#shared, ENDING, 1);
    const until = performance.now() + withinMs;
    while (Atomics.load(this.#shared, CALLS) > 0) {
      if (performance.now() > until) return false;
      await new Promise((go) => setTimeout(go, 10));
    }
    return true;
  }
}
const ENDING = 0;
const CALLS = 1;
