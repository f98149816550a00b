/** Tells listeners when a newer version of the program lies ready; it is taken over only when a person says so. */
import { useSyncExternalStore } from 'react';

let waiting: ServiceWorker | null = null;
const listeners = new Set<() => void>();

export function registerServiceWorker(): void {
  if (!import.meta.env.PROD || !('serviceWorker' in navigator)) return;
  void navigator.serviceWorker.register('/sw.js').then(watch, (error: unknown) => {
    // A private window, or storage switched off: the page works, but not without a network.
    console.warn('The program cannot be kept on this device.', error);
  });
}

function watch(registration: ServiceWorkerRegistration): void {
  const look = (): void => {
    // With no controller this is the first installation, not an update.
    if (!registration.waiting || !navigator.serviceWorker.controller) return;
    waiting = registration.waiting;
    for (const listener of listeners) listener();
  };
  look();
  registration.addEventListener('updatefound', () => {
    registration.installing?.addEventListener('statechange', look);
  });
  document.addEventListener('visibilitychange', () => {
    if (document.visibilityState === 'visible') void registration.update().catch(() => undefined);
  });
}

export const useNewVersion = (): boolean =>
  useSyncExternalStore(
    (listener) => {
      listeners.add(listener);
      return () => listeners.delete(listener);
    },
    () => waiting !== null,
  );

export function takeNewVersion(): void {
  navigator.serviceWorker.addEventListener('controllerchange', () => {
    location.reload();
  });
  waiting?.postMessage('take-over');
}
