/** What must be in place before anything runs: packages installed, apps built. Node's own modules only. */
import { Buffer } from 'node:buffer';
import { spawn } from 'node:child_process';
import { createHash } from 'node:crypto';
import { existsSync, mkdirSync, readdirSync, readFileSync, statSync, writeFileSync } from 'node:fs';
import { join, relative } from 'node:path';
import { fileURLToPath } from 'node:url';

export const root = fileURLToPath(new URL('..', import.meta.url));
const notes = join(root, '.rundlet');
const npm = process.platform === 'win32' ? 'npm.cmd' : 'npm';

/** Something to tell a person in words, without a stack. */
export class Trouble extends Error {}

export function requireNode() {
  const [major = 0, minor = 0] = process.versions.node.split('.').map(Number);
  if (major < 20 || (major === 20 && minor < 19))
    throw new Trouble(`Rundlet needs Node 20.19 or newer; this is ${process.versions.node}.`);
}

/**
 * Installs the packages of the lock file unless they are there. Compiling SQLite keeps one processor busy for a minute or two:
 * `alongside` is work that needs the packages but not SQLite, and is done meanwhile.
 */
export async function ensureInstalled(say, alongside = async () => {}) {
  const lock = join(root, 'package-lock.json');
  const installed = join(root, 'node_modules', '.package-lock.json');
  const hash = digest([readFileSync(lock)]);
  const upToDate =
    existsSync(installed) &&
    (note('installed') === hash || statSync(installed).mtimeMs >= statSync(lock).mtimeMs);
  if (!upToDate) {
    say('Installing packages. The first time this compiles SQLite and takes a minute or two.');
    await run(
      npm,
      ['ci', '--ignore-scripts', '--no-audit', '--no-fund'],
      'Installing the packages failed',
    );
    await Promise.all([run(npm, ['rebuild', 'sqlite3'], 'Compiling SQLite failed'), alongside()]);
  } else await alongside();
  writeNote('installed', hash);
}

/** Builds server, web app, command line and the demo's loader unless they are as their sources say. */
export async function ensureBuilt(say) {
  const hash = sourceHash();
  const built = [
    'apps/server/dist/main.js',
    'apps/web/dist/index.html',
    'apps/cli/dist/main.js',
    'demo/dist/main.js',
  ];
  if (note('built') === hash && built.every((file) => existsSync(join(root, file)))) return false;
  say('Building the server, the web app and the command line.');
  await run(npm, ['run', 'build'], 'Building failed');
  const vite = join(root, 'node_modules', 'vite', 'bin', 'vite.js');
  await run(
    process.execPath,
    [vite, 'build', '--config', 'demo/vite.config.ts'],
    'Building the demo’s loader failed',
  );
  writeNote('built', hash);
  return true;
}

const SKIPPED = new Set(['node_modules', 'dist', '.rundlet', '.git']);

/** Digest of everything a build is made of. */
function sourceHash() {
  const files = [join(root, 'package-lock.json'), join(root, 'tsconfig.base.json')];
  for (const folder of ['apps', 'libs', 'demo', 'label-templates']) walk(join(root, folder), files);
  return digest(files.sort().flatMap((file) => [relative(root, file), readFileSync(file)]));
}

function walk(folder, files) {
  if (!existsSync(folder)) return;
  for (const entry of readdirSync(folder, { withFileTypes: true })) {
    const path = join(folder, entry.name);
    if (entry.isDirectory()) {
      if (!SKIPPED.has(entry.name)) walk(path, files);
    } else if (!/\.test\.tsx?$|\.md$/.test(entry.name)) files.push(path);
  }
}

function digest(parts) {
  const hash = createHash('sha256');
  for (const part of parts) hash.update(part).update('\0');
  return hash.digest('hex');
}

function note(name) {
  const file = join(notes, `${name}.txt`);
  return existsSync(file) ? readFileSync(file, 'utf8') : null;
}

function writeNote(name, text) {
  mkdirSync(notes, { recursive: true });
  writeFileSync(join(notes, `${name}.txt`), text);
}

/** Runs a command quietly; what it said is shown when it fails. */
function run(command, args, failure) {
  return new Promise((resolve, reject) => {
    const child = spawn(command, args, {
      cwd: root,
      stdio: ['ignore', 'pipe', 'pipe'],
      shell: process.platform === 'win32',
    });
    const said = [];
    child.stdout.on('data', (chunk) => said.push(chunk));
    child.stderr.on('data', (chunk) => said.push(chunk));
    child.on('error', (error) => reject(new Trouble(`${failure}: ${error.message}`)));
    child.on('close', (code) => {
      if (code === 0) resolve();
      else
        reject(new Trouble(`${Buffer.concat(said).toString()}\n${failure} (exit code ${code}).`));
    });
  });
}
