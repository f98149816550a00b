/** Whether the server answered last time. `navigator.onLine` only knows that a cable is plugged in. */
import { useSyncExternalStore } from 'react';

let reachable = navigator.onLine;
const listeners = new Set<() => void>();

export function noteReachable(now: boolean): void {
  if (now === reachable) return;
  reachable = now;
  for (const listener of listeners) listener();
}

addEventListener('offline', () => {
  noteReachable(false);
});

export const isReachable = (): boolean => reachable;

function subscribe(listener: () => void): () => void {
  listeners.add(listener);
  return () => listeners.delete(listener);
}

export const useReachable = (): boolean => useSyncExternalStore(subscribe, isReachable);
/** Calls `listener` whenever the server comes into or goes out of reach. */
export const onReachable = subscribe;
