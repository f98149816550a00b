/// <reference types="vite/types/importMeta.d.ts" />
import { existsSync } from 'node:fs';
import { fileURLToPath } from 'node:url';

/** Each is a file in `src/workers` and, in the bundle, an entry of its own: `workers/<name>.worker.js`. */
export type WorkerName =
  'journal' | 'climate' | 'maturation' | 'blending' | 'labels' | 'papers' | 'imports';

/** Where the built workers may lie as seen from this module: beside the entry, above its chunks, in the server's own bundle. */
const PLACES = ['./workers', '../workers', '../../server/dist/workers'];

/**
 * The file a worker thread is started from. Run from source, as the tests do, Node can't load TypeScript, so the worker is
 * bundled on the spot; that branch is cut out of the built server.
 */
export async function workerFile(name: WorkerName): Promise<URL> {
  if (import.meta.env.DEV) {
    const { bundleWorker } = await import('./bundle-from-source.ts');
    return bundleWorker(name);
  }
  for (const place of PLACES) {
    const url = new URL(`${place}/${name}.worker.js`, import.meta.url);
    if (existsSync(fileURLToPath(url))) return url;
  }
  throw new Error(
    `The file workers/${name}.worker.js is missing beside the server. Build it again: npm run build.`,
  );
}
