/// <reference lib="webworker" />
/**
 * Keeps the program's own files, so that it opens without a network. It holds no data and sends nothing: the casks of a
 * store and what waits to be sent live in IndexedDB, and the page itself sends them.
 */
declare const self: ServiceWorkerGlobalScope;
declare const __SHELL__: readonly string[];
declare const __LATER__: readonly string[];
declare const __VERSION__: string;

const SHELL = `shell-${__VERSION__}`;

self.addEventListener('install', (event) => {
  event.waitUntil(
    caches.open(SHELL).then(async (cache) => {
      await cache.addAll([...__SHELL__]);
      // The second decoder is large; a page without it works, so its absence must not stop the installation.
      await cache.addAll([...__LATER__]).catch(() => undefined);
    }),
  );
});

self.addEventListener('activate', (event) => {
  event.waitUntil(
    caches
      .keys()
      .then((names) =>
        Promise.all(
          names
            .filter((name) => name.startsWith('shell-') && name !== SHELL)
            .map((name) => caches.delete(name)),
        ),
      )
      .then(() => self.clients.claim()),
  );
});

self.addEventListener('message', (event) => {
  if (event.data === 'take-over') void self.skipWaiting();
});

self.addEventListener('fetch', (event) => {
  const { request } = event;
  const url = new URL(request.url);
  if (request.method !== 'GET' || url.origin !== location.origin) return;
  if (url.pathname.startsWith('/api/')) return;
  if (request.mode === 'navigate') {
    if (isPage(url.pathname)) event.respondWith(page(request));
    return;
  }
  event.respondWith(caches.match(request).then((hit) => hit ?? fetch(request)));
});

/** Addresses of the app itself; the server's own public pages and files are left to the server. */
const isPage = (path: string): boolean =>
  !/^\/(api|health|ready|metrics|authority\.crt)(\/|$)/.test(path);

/** The kept page, which fits the kept files; a newer one is taken over when its own worker is installed. */
async function page(request: Request): Promise<Response> {
  const cache = await caches.open(SHELL);
  return (await cache.match('/')) ?? fetch(request);
}
