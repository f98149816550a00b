/** The server's clock: when things are received. When they happened is the acts' own to say. */
export class Clock {
  readonly #now: () => Date;
  constructor(now: () => Date = () => new Date()) {
    this.#now = now;
  }

  now(): Date {
    return this.#now();
  }
  /** ISO 8601 in UTC with milliseconds. */
  instant(): string {
    return this.#now().toISOString();
  }
  /** Some milliseconds ago (or, negative, ahead). */
  ago(milliseconds: number): string {
    return new Date(this.#now().getTime() - milliseconds).toISOString();
  }
}
