export interface ThrowAwayPostgres {
  readonly url: string;
  /** Ends its processes by this signal; the data stays. */
  halt(signal: NodeJS.Signals): Promise<void>;
  /** Starts it again at the same address. */
  resume(): Promise<void>;
  /** Ends it and removes its data. */
  stop(): Promise<void>;
}
export function startPostgres(options?: { durable?: boolean }): Promise<ThrowAwayPostgres | null>;
