import type { Writes } from './rows.ts';

type Call = { [M in keyof Writes]: readonly [M, ...Parameters<Writes[M]>] }[keyof Writes];

/** Writes that are noted, to be done elsewhere: plain data that may go to another thread. */
export class RecordedWrites implements Writes {
  readonly calls: Call[] = [];

  insertMany = async (...how: Parameters<Writes['insertMany']>): Promise<void> => {
    if (how[2].length > 0) this.calls.push(['insertMany', ...how]);
  };
  addMany = async (...how: Parameters<Writes['addMany']>): Promise<void> => {
    if (how[2].length > 0) this.calls.push(['addMany', ...how]);
  };
  deleteBy = async (...how: Parameters<Writes['deleteBy']>): Promise<void> => {
    if (how[2].length > 0) this.calls.push(['deleteBy', ...how]);
  };
}
export type RecordedCalls = RecordedWrites['calls'];

export async function replay(calls: RecordedCalls, writes: Writes): Promise<void> {
  for (const [method, ...how] of calls)
    await (writes[method] as (...how: unknown[]) => Promise<void>).apply(writes, how);
}
