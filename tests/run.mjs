/**
 * Every check of the project with one command: packages, types, lint, builds, then all tests, on SQLite and, where its
 * programs are found, on a throw-away PostgreSQL. Ends on a line "N passed, N failed". Node's own modules only.
 */
import { spawn, spawnSync } from 'node:child_process';
import { existsSync, mkdirSync, readFileSync, rmSync } from 'node:fs';
import { join } from 'node:path';
import { ensureBuilt, ensureInstalled, requireNode, root } from '../demo/prepare.mjs';
import { startPostgres } from './support/postgres.mjs';

const onWindows = process.platform === 'win32';
const counts = { passed: 0, failed: 0, skipped: 0 };
const remarks = [];
let postgres = null;

process.on('SIGINT', () => void finish());
process.on('SIGTERM', () => void finish());

requireNode();
// None of these keeps two processors busy by itself.
await stage('install', () =>
  ensureInstalled(console.log, () =>
    Promise.all([stage('types', () => npm('typecheck')), stage('lint', () => npm('lint'))]),
  ),
);
await stage('build', () => ensureBuilt(console.log));
await stage('postgres', findPostgres);
lookAround();
await stage('tests', () => vitest('all-but-browser', ['--project', '!browser']));
await stage('browser', () => vitest('browser', ['--project', 'browser']));
await finish();

/** Runs a stage and tells its time; one that fails counts as a failure and the others still run. */
async function stage(name, work) {
  const begun = Date.now();
  console.log(`\n── ${name}`);
  try {
    await work();
    tell('done');
  } catch (error) {
    counts.failed++;
    console.error(error instanceof Error ? error.message : error);
    tell('FAILED');
  }
  function tell(how) {
    console.log(`── ${name} ${how} in ${((Date.now() - begun) / 1000).toFixed(1)} s`);
  }
}

async function findPostgres() {
  if (process.env.TEST_POSTGRES_URL) {
    console.log('TEST_POSTGRES_URL names the database to use.');
    return;
  }
  postgres = await startPostgres();
  if (postgres === null)
    remarks.push(
      'Not tested on PostgreSQL: no initdb and postgres on this machine, and TEST_POSTGRES_URL is not set.',
    );
  else process.env.TEST_POSTGRES_URL = postgres.url;
}

/** What the machine lacks is said, so that no skipped test passes for a tested one. */
function lookAround() {
  const chromium = [
    process.env.RUNDLET_CHROMIUM,
    '/usr/bin/chromium',
    '/usr/bin/chromium-browser',
    '/usr/bin/google-chrome',
  ]
    .filter(Boolean)
    .find((path) => existsSync(path));
  if (chromium === undefined)
    remarks.push('No browser tests: no Chromium found; RUNDLET_CHROMIUM may name one.');
  else process.env.RUNDLET_CHROMIUM = chromium;
  if (!process.env.RUNDLET_PHOTO_CORPUS)
    remarks.push(
      'Photos of labels were not read: RUNDLET_PHOTO_CORPUS does not name a folder of them.',
    );
  if (!hasProgram('zbarimg'))
    remarks.push('Labels were not read with a second reader: there is no zbarimg (zbar-tools).');
  if (!hasProgram('gs'))
    remarks.push('Printed labels were not measured from their PDF: there is no gs (Ghostscript).');
}

function hasProgram(name) {
  return spawnSync(name, ['--version'], { stdio: 'ignore' }).error === undefined;
}

/** Runs a script of package.json; what it said is told when it fails. */
function npm(script) {
  return new Promise((resolve, reject) => {
    const child = spawn('npm', ['run', '--silent', script], { cwd: root, shell: onWindows });
    let said = '';
    child.stdout.on('data', (chunk) => (said += chunk));
    child.stderr.on('data', (chunk) => (said += chunk));
    child.on('error', reject);
    child.on('close', (code) =>
      code === 0
        ? resolve()
        : reject(new Error(`${said.trim()}\nnpm run ${script} ended with exit code ${code}.`)),
    );
  });
}

/** Runs some of Vitest's projects and counts their tests; a file that cannot even be loaded counts as a failure. */
async function vitest(name, projects) {
  mkdirSync(join(root, '.rundlet'), { recursive: true });
  const file = join(root, '.rundlet', `tests-${name}.json`);
  rmSync(file, { force: true });
  const bin = join(root, 'node_modules', 'vitest', 'vitest.mjs');
  const failure = await run(process.execPath, [
    bin,
    'run',
    ...projects,
    '--passWithNoTests',
    '--reporter=default',
    '--reporter=json',
    `--outputFile.json=${file}`,
  ]).catch((error) => error);
  if (!existsSync(file)) throw failure ?? new Error('Vitest left no report.');
  const report = JSON.parse(readFileSync(file, 'utf8'));
  const unloaded = report.testResults.filter(
    (result) =>
      result.status === 'failed' &&
      result.assertionResults.every((test) => test.status !== 'failed'),
  );
  counts.passed += report.numPassedTests;
  counts.failed += report.numFailedTests + unloaded.length;
  counts.skipped += report.numPendingTests + (report.numTodoTests ?? 0);
  for (const { name: path } of unloaded) console.error(`This file failed as a whole: ${path}`);
  // Errors outside of any test make Vitest fail though all tests passed.
  if (failure && report.numFailedTests + unloaded.length === 0) throw failure;
}

function run(command, args) {
  return new Promise((resolve, reject) => {
    const child = spawn(command, args, { cwd: root, stdio: 'inherit' });
    child.on('error', reject);
    child.on('close', (code) =>
      code === 0 ? resolve() : reject(new Error(`Vitest ended with exit code ${code}.`)),
    );
  });
}

async function finish() {
  await postgres?.stop();
  if (remarks.length > 0)
    console.log(`\nNOT TESTED HERE:\n${remarks.map((remark) => `  - ${remark}`).join('\n')}`);
  const { passed, failed, skipped } = counts;
  console.log(`\n${passed} passed, ${failed} failed${skipped > 0 ? `, ${skipped} skipped` : ''}`);
  process.exit(failed > 0 || passed === 0 ? 1 : 0);
}
