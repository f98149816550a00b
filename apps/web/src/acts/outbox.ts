/** The device's one outbox: sends by itself when it can, and tells every tab how it stands. */
import { doorOf, Outbox, type DrainReport, type OutboxItem } from '@rundlet/client';
import { useSyncExternalStore } from 'react';
import { client, onSignedIn, queries, signedInPerson } from '../data/client.ts';
import { noteReachable } from '../data/network.ts';
import { outboxStorage } from '../data/outbox-storage.ts';

const LOCK = 'rundlet-outbox';
const KEEP_SENT_MS = 24 * 3600_000;
const FIRST_WAIT_MS = 5_000;
const LONGEST_WAIT_MS = 120_000;

const channel = typeof BroadcastChannel === 'undefined' ? null : new BroadcastChannel(LOCK);
const listeners = new Set<() => void>();
let items: readonly OutboxItem[] = [];
let last: DrainReport['stop'] | 'sending' = 'empty';

let reloading: Promise<void> | undefined;
let again = false;
/** Reads the queue anew; many changes at once need one more reading only. */
function reload(): Promise<void> {
  if (reloading) {
    again = true;
    return reloading;
  }
  reloading = outboxStorage
    .all()
    .catch(() => [])
    .then((read) => {
      items = read;
      for (const listener of listeners) listener();
      reloading = undefined;
      if (!again) return undefined;
      again = false;
      return reload();
    });
  return reloading;
}
function changed(): void {
  void reload();
  channel?.postMessage('changed');
}
channel?.addEventListener('message', () => void reload());

export const outbox = new Outbox({
  storage: outboxStorage,
  now: () => new Date().toISOString(),
  changed,
  sender: signedInPerson,
  ...doorOf(client),
});

let running: Promise<DrainReport['stop']> | undefined;

/** Sends what waits. One tab at a time does it; a second call joins the first. */
export function sendWaiting(): Promise<DrainReport['stop']> {
  running ??= underLock(drainOnce).finally(() => {
    running = undefined;
  });
  return running;
}

async function drainOnce(): Promise<DrainReport['stop']> {
  setLast('sending');
  let report: DrainReport;
  try {
    report = await outbox.drain();
  } catch {
    // Storage failed or an answer broke the contract: the queue is untouched, the next turn tries again.
    setLast('try-later');
    return 'try-later';
  }
  setLast(report.stop);
  if (report.stop === 'unreachable') noteReachable(false);
  if (report.applied + report.held + report.refused > 0) void queries.invalidateQueries();
  return report.stop;
}

/** What the server held may have been let through since; the outbox then says so. */
export const askAboutHeld = (): Promise<void> =>
  underLock(() => outbox.askAboutHeld()).catch(() => undefined);

function setLast(next: typeof last): void {
  last = next;
  for (const listener of listeners) listener();
}

/** Pages over plain http have no Web Locks; there a page is on its own, and the server applies each act once anyway. */
const underLock = <T>(work: () => Promise<T>): Promise<T> =>
  'locks' in navigator ? navigator.locks.request(LOCK, work) : work();

/** Runs `work` unless the queue is being sent just now; then the answer is null and `work` is not done. */
export const ifNobodySends = <T>(work: () => Promise<T>): Promise<T | null> =>
  'locks' in navigator
    ? navigator.locks.request(LOCK, { ifAvailable: true }, (lock) => (lock ? work() : null))
    : running
      ? Promise.resolve(null)
      : work();

/** Called once by the shell: at the start, when the network or the page comes back, and by a timer that slows down. */
export function startOutbox(): void {
  void reload();
  let wait = FIRST_WAIT_MS;
  let timer: ReturnType<typeof setTimeout> | undefined;
  const turn = async (): Promise<void> => {
    clearTimeout(timer);
    const waiting = (await outboxStorage.all().catch(() => [])).some((i) => i.state === 'waiting');
    const stop = waiting ? await sendWaiting() : 'empty';
    wait = stop === 'empty' ? FIRST_WAIT_MS : Math.min(wait * 2, LONGEST_WAIT_MS);
    // Many phones lose and regain one signal together; they must not all knock in the same second.
    timer = setTimeout(() => void turn(), wait * (0.75 + Math.random() / 2));
  };
  addEventListener('online', () => void turn());
  document.addEventListener('visibilitychange', () => {
    if (document.visibilityState === 'visible') void turn();
  });
  void turn();
  onSignedIn(() => void turn().then(askAboutHeld));
  void outbox
    .forgetSentBefore(new Date(Date.now() - KEEP_SENT_MS).toISOString())
    .catch(() => undefined);
}

function subscribe(listener: () => void): () => void {
  listeners.add(listener);
  return () => listeners.delete(listener);
}

export const outboxItems = (): readonly OutboxItem[] => items;
export const useOutboxItems = (): readonly OutboxItem[] =>
  useSyncExternalStore(subscribe, outboxItems);
/** How the last attempt ended, or that one is running. */
export const useSending = (): typeof last => useSyncExternalStore(subscribe, () => last);
