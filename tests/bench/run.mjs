/**
 * Runs the benches, each as a process of its own, one after another: `npm run bench`, or `npm run bench -- labels` for those
 * whose name holds a word. They print figures and ratios within one run; nothing here is a test.
 */
import { spawnSync } from 'node:child_process';
import { mkdirSync, readdirSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { rolldown } from 'rolldown';

const here = dirname(fileURLToPath(import.meta.url));
const root = join(here, '../..');
// Benches look for the project's files three folders up from themselves, as their sources do from tests/bench.
const out = join(root, 'node_modules/.cache/rundlet-bench');
const words = process.argv.slice(2);

mkdirSync(out, { recursive: true });
const benches = readdirSync(here)
  .filter((name) => name.endsWith('.bench.ts'))
  .filter((name) => words.length === 0 || words.some((word) => name.includes(word)));
if (benches.length === 0) {
  console.error(`No bench is named like ${words.join(' or ')}.`);
  process.exit(2);
}
let failed = 0;
for (const name of benches) {
  console.log(`\n── ${name}`);
  const bundle = await rolldown({
    input: join(here, name),
    platform: 'node',
    // What decorators compile to calls helpers that the bundler brings along.
    external: (id) => /^[^./]/.test(id) && !/^(@rundlet|@oxc-project)\//.test(id),
  });
  const file = join(out, name.replace(/\.ts$/, '.mjs'));
  await bundle.write({ file, format: 'esm', codeSplitting: false });
  await bundle.close();
  const { status } = spawnSync(process.execPath, ['--expose-gc', file], {
    cwd: root,
    stdio: 'inherit',
  });
  if (status !== 0) failed += 1;
}
process.exit(failed === 0 ? 0 : 1);
