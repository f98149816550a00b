/** Doing one act: made here with its id and time, kept until the server has it. */
import { doorOf, RefusedError, UnreachableError, type KeptBytes } from '@rundlet/client';
import {
  ActBody,
  api,
  type Act,
  type ActKind,
  type BodyOf,
  type JournalEntry,
  type Problem,
} from '@rundlet/contracts';
import { v7 } from 'uuid';
import { noteMove } from '../data/aisle.ts';
import { client, queries } from '../data/client.ts';
import { isReachable } from '../data/network.ts';
import { problemFromIssues } from '../kit/problem.ts';
import { deviceId } from './device.ts';
import { ifNobodySends, outbox, outboxItems, sendWaiting } from './outbox.ts';

/** What came of an act. */
export type ActDone =
  /** The server booked it. */
  | { status: 'applied'; id: string; entry: JournalEntry | null }
  /** Kept on this device; it goes out by itself. */
  | { status: 'waiting'; id: string }
  /** Kept by the server for a keeper to settle. */
  | { status: 'held'; id: string; problem: Problem | null }
  /** Not done, nothing kept: the form shows why. */
  | { status: 'refused'; id: string; problem: Problem };

/** Work of the aisle, which must never wait for a network. Everything else is for people who can see the answer. */
const MAY_WAIT: ReadonlySet<ActKind> = new Set<ActKind>([
  'cask.gauge',
  'cask.move',
  'cask.sample',
  'cask.inspect',
  'cask.note',
  'cask.alias',
  'cask.top-up',
  'stocktake.count',
  'label.print',
  'plan.scan-out',
]);

/** Whether an act may wait on the device; the others are for people who can see the answer. */
export const mayWait = (kind: ActKind): boolean => MAY_WAIT.has(kind);

export const newId = (): string => v7();

export async function makeAct<K extends ActKind>(
  kind: K,
  body: BodyOf<K>,
  options: { id?: string; happenedAt?: string } = {},
): Promise<Act> {
  return {
    id: options.id ?? newId(),
    kind,
    happenedAt: options.happenedAt ?? new Date().toISOString(),
    deviceId: await deviceId(),
    body,
  } as Act;
}

/** Checks a body against its contract before anything is sent. */
export function checkBody<K extends ActKind>(kind: K, body: BodyOf<K>): Problem | null {
  const result = ActBody[kind].safeParse(body);
  return result.success ? null : problemFromIssues(result.error.issues);
}

/** Sends an act or keeps it. `words` say what it does, for the list of what is not sent yet. */
export async function doAct(
  act: Act,
  words: string,
  files: readonly KeptBytes[] = [],
): Promise<ActDone> {
  const problem = checkBody(act.kind, act.body);
  if (problem) return { status: 'refused', id: act.id, problem };
  const done = await (mayWait(act.kind) ? keepAndSend(act, words, files) : sendNow(act, files));
  if (act.kind === 'cask.move' && (done.status === 'applied' || done.status === 'waiting'))
    noteMove(act.body);
  return done;
}

async function keepAndSend(act: Act, words: string, files: readonly KeptBytes[]): Promise<ActDone> {
  const behindOthers = outboxItems().some((item) => item.state === 'waiting');
  // On the disk before the network is tried: a tab that is killed now loses nothing.
  await outbox.add(act, words, files);
  void askToKeepStorage();
  const done =
    behindOthers || !isReachable() ? null : await ifNobodySends(() => tryNow(act, files));
  if (done === null) {
    void sendWaiting();
    return { status: 'waiting', id: act.id };
  }
  // A refusal at the first go is shown at the form, which still holds the values.
  await outbox.remove(act.id);
  return done;
}

/** The answer, or null when there was none and the act has to wait. */
async function tryNow(act: Act, files: readonly KeptBytes[]): Promise<ActDone | null> {
  try {
    return await sendNow(act, files);
  } catch (error) {
    if (error instanceof UnreachableError || isForLater(error)) return null;
    throw error;
  }
}

/** Signed out or server in trouble: the act is good, the moment is not. */
const isForLater = (error: unknown): boolean =>
  error instanceof RefusedError && (error.problem.status === 401 || error.problem.status >= 500);

/** @throws UnreachableError; RefusedError for 401 and 5xx */
async function sendNow(act: Act, files: readonly KeptBytes[]): Promise<ActDone> {
  try {
    for (const file of files) await doorOf(client).upload(file);
    const result = await client.call(api.journal.submit, { body: act });
    void queries.invalidateQueries();
    if (result.status === 'refused')
      return {
        status: 'refused',
        id: act.id,
        problem: result.problem ?? { type: 'about:blank', title: 'Refused', status: 422 },
      };
    if (result.status === 'held') return { status: 'held', id: act.id, problem: result.problem };
    return { status: 'applied', id: act.id, entry: result.entry };
  } catch (error) {
    if (error instanceof RefusedError && !isForLater(error))
      return { status: 'refused', id: act.id, problem: error.problem };
    throw error;
  }
}

let asked = false;
/** After the first capture, ask the browser not to clear this site when space runs short. */
async function askToKeepStorage(): Promise<void> {
  if (asked || !('storage' in navigator) || !('persist' in navigator.storage)) return;
  asked = true;
  await navigator.storage.persist().catch(() => false);
}
