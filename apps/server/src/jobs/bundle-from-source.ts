/** For tests and development only: makes a worker's file from its TypeScript, where the server itself runs from source. */
import { createHash } from 'node:crypto';
import { existsSync, mkdirSync, renameSync, writeFileSync } from 'node:fs';
import { fileURLToPath, pathToFileURL } from 'node:url';
import type { WorkerName } from './worker-file.ts';

const here = (path: string): string => fileURLToPath(new URL(path, import.meta.url));
/** Below the root's node_modules, so that the packages a worker imports are found from there. */
const FOLDER = here('../../../../node_modules/.cache/rundlet-workers');

const bundled = new Map<WorkerName, Promise<URL>>();

export function bundleWorker(name: WorkerName): Promise<URL> {
  let file = bundled.get(name);
  if (!file) bundled.set(name, (file = bundle(name)));
  return file;
}

async function bundle(name: WorkerName): Promise<URL> {
  const { build } = await import('vite');
  const built = await build({
    configFile: false,
    root: here('../..'),
    logLevel: 'error',
    ssr: { noExternal: [/^@rundlet\//] },
    build: {
      ssr: here(`../workers/${name}.worker.ts`),
      target: 'node20',
      write: false,
      minify: false,
      rollupOptions: { output: { codeSplitting: false } },
    },
  });
  const [result] = [built].flat();
  if (!result || !('output' in result)) throw new Error(`Bundling ${name}.worker.ts gave nothing.`);
  const { code } = result.output[0];
  const hash = createHash('sha256').update(code).digest('hex').slice(0, 16);
  const path = `${FOLDER}/${name}-${hash}.worker.mjs`;
  if (!existsSync(path)) {
    mkdirSync(FOLDER, { recursive: true });
    // Tests run in several processes at once: the file appears whole or not at all.
    const unfinished = `${path}.${String(process.pid)}`;
    writeFileSync(unfinished, code);
    renameSync(unfinished, path);
  }
  return pathToFileURL(path);
}
