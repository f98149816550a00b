/** Light, dark or sun: kept on the device, set on the page before the first paint by theme.js. */
import { useSyncExternalStore } from 'react';

export type Look = 'auto' | 'light' | 'dark' | 'sun';
export const LOOKS: readonly { value: Look; label: string }[] = [
  { value: 'auto', label: 'As the system' },
  { value: 'light', label: 'Light' },
  { value: 'dark', label: 'Dark' },
  { value: 'sun', label: 'Sun' },
];
const NAME = 'rundlet-look';
const listeners = new Set<() => void>();

const current = (): Look =>
  (document.documentElement.dataset['look'] as Look | undefined) ?? 'auto';

export function setLook(look: Look): void {
  if (look === 'auto') delete document.documentElement.dataset['look'];
  else document.documentElement.dataset['look'] = look;
  try {
    localStorage.setItem(NAME, look);
  } catch {
    // Storage is switched off: the look holds until the page is closed.
  }
  for (const listener of listeners) listener();
}

export const useLook = (): Look =>
  useSyncExternalStore((listener) => {
    listeners.add(listener);
    return () => listeners.delete(listener);
  }, current);
