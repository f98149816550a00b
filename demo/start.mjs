/**
 * One command from a fresh clone to a served page. Node's own modules only: nothing is installed yet when it starts.
 *
 *     npm start                    the demo estate Harrow Point
 *     npm start -- --fresh         the demo from its beginning
 *     npm start -- --empty         an estate of your own, without the demo
 *     npm start -- --port 4000     another port
 */
import { spawn } from 'node:child_process';
import {
  existsSync,
  mkdirSync,
  readFileSync,
  rmSync,
  writeFileSync,
  createWriteStream,
} from 'node:fs';
import { createServer } from 'node:net';
import { join } from 'node:path';
import { parseArgs } from 'node:util';
import { ensureBuilt, ensureInstalled, requireNode, root, Trouble } from './prepare.mjs';

const PORTS_TO_TRY = 20;
const START_LIMIT_MS = 60_000;
const host = process.env.HOST || '127.0.0.1';

let server = null;
let stopping = false;

try {
  requireNode();
  await start(readFlags());
} catch (error) {
  if (!stopping) {
    console.error(error instanceof Trouble ? error.message : error);
    process.exitCode = 1;
  }
  stopping = true;
  server?.kill('SIGTERM');
}

function readFlags() {
  try {
    const { values } = parseArgs({
      options: {
        fresh: { type: 'boolean', default: false },
        empty: { type: 'boolean', default: false },
        port: { type: 'string', default: process.env.PORT || '3000' },
      },
    });
    const port = Number(values.port);
    if (!Number.isInteger(port) || port < 1 || port > 65_535)
      throw new Trouble(`--port must be a whole number from 1 to 65535; it is "${values.port}".`);
    return { ...values, port };
  } catch (error) {
    throw error instanceof Trouble
      ? error
      : new Trouble(`${error.message}\nKnown flags: --fresh, --empty, --port N.`);
  }
}

async function start({ fresh, empty, port: wantedPort }) {
  const begun = Date.now();
  const data = join(root, '.rundlet', empty ? 'estate' : 'demo');
  await requireNotRunning(data);
  if (fresh && empty)
    throw new Trouble(
      `--fresh is for the demo. Your estate's own data stays in ${data}; move that folder away to begin again.`,
    );
  if (fresh) rmSync(data, { recursive: true, force: true });
  await ensureInstalled(say, () => ensureBuilt(say));
  mkdirSync(data, { recursive: true });

  const port = await freePort(wantedPort);
  const address = addressOf(port);
  const said = serve(data, port, empty, address);
  await ready(address);
  await until(() =>
    // What the server says at the end of its start comes in several lines.
    empty
      ? said.text !== '' && Date.now() - said.at > 400
      : existsSync(join(data, 'demo-sign-ins.json')),
  );
  if (!empty) await loadDemo(address, data);

  console.log(`\nRundlet is at ${address}   (${((Date.now() - begun) / 1000).toFixed(1)} s)`);
  if (empty) console.log(said.text.trim());
  else tellSignIns(data);
  console.log('\nCtrl-C stops it.');
}

/** Where a browser on this machine finds it. */
function addressOf(port) {
  const name = host === '0.0.0.0' || host === '::' ? '127.0.0.1' : host;
  return `http://${name.includes(':') ? `[${name}]` : name}:${port}`;
}

function say(line) {
  console.log(line);
}

function serve(data, port, empty, address) {
  const main = join(root, 'apps', 'server', 'dist', 'main.js');
  server = spawn(process.execPath, ['--enable-source-maps', main], {
    cwd: root,
    env: {
      ...process.env,
      RUNDLET_DATA: data,
      PORT: String(port),
      HOST: host,
      RUNDLET_DEMO: empty ? '0' : '1',
      // An invented estate has no business in whatever database the environment names.
      ...(empty ? {} : { DATABASE_URL: '' }),
    },
    stdio: ['ignore', 'pipe', 'pipe'],
  });
  server.stdout.pipe(createWriteStream(join(data, 'server.log'), { flags: 'a' }));
  const said = { text: '', at: Date.now() };
  server.stderr.on('data', (chunk) => {
    said.text += chunk;
    said.at = Date.now();
  });
  writeFileSync(runningFile(data), JSON.stringify({ pid: server.pid, address }));
  for (const signal of ['SIGINT', 'SIGTERM', 'SIGHUP'])
    process.on(signal, () => {
      stopping = true;
      server.kill('SIGTERM');
    });
  server.on('exit', (code) => {
    rmSync(runningFile(data), { force: true });
    if (stopping) process.exit();
    console.error(
      `${said.text.trim()}\nThe server stopped by itself (exit code ${code}). Its log is ${join(data, 'server.log')}.`,
    );
    process.exit(1);
  });
  return said;
}

async function ready(address) {
  await until(async () => {
    try {
      return (await fetch(`${address}/ready`)).ok;
    } catch {
      // It is not listening yet.
      return false;
    }
  });
}

async function until(isSo) {
  const limit = Date.now() + START_LIMIT_MS;
  while (!(await isSo())) {
    if (Date.now() > limit)
      throw new Trouble(`The server did not get ready within ${START_LIMIT_MS / 1000} s.`);
    await new Promise((resolve) => setTimeout(resolve, 100));
  }
}

/** The loader tells what it did; it goes on where an interrupted load stopped. */
async function loadDemo(address, data) {
  const note = join(data, 'demo.json');
  if (existsSync(note) && JSON.parse(readFileSync(note, 'utf8')).loaded) return;
  say('Loading the demo estate.');
  const loader = join(root, 'demo', 'dist', 'main.js');
  await new Promise((resolve, reject) => {
    const child = spawn(
      process.execPath,
      ['--enable-source-maps', loader, '--origin', address, '--data', data],
      { stdio: 'inherit' },
    );
    child.on('error', reject);
    child.on('close', (code) =>
      code === 0 ? resolve() : reject(new Trouble('The demo estate could not be loaded.')),
    );
  });
}

function tellSignIns(data) {
  const people = JSON.parse(readFileSync(join(data, 'demo-sign-ins.json'), 'utf8'));
  console.log('A demo: everything and everybody in it is invented. Sign in as');
  for (const { signInName, password, name, roles } of people)
    console.log(`  ${signInName.padEnd(14)} ${password.padEnd(36)} ${name} (${roles.join(', ')})`);
}

function runningFile(data) {
  return join(data, 'running.json');
}

/** Two servers on one SQLite file would take turns at best. */
async function requireNotRunning(data) {
  if (!existsSync(runningFile(data))) return;
  const { pid, address } = JSON.parse(readFileSync(runningFile(data), 'utf8'));
  try {
    process.kill(pid, 0);
    // The number may be another program's by now: only a server that answers is one.
    if (!(await fetch(`${address}/health`)).ok) return;
  } catch {
    return;
  }
  throw new Trouble(`Rundlet is running on ${data} already: ${address} (process ${pid}).`);
}

async function freePort(wanted) {
  for (let port = wanted; port < wanted + PORTS_TO_TRY; port++) {
    if (await isFree(port)) return port;
    say(`Port ${port} is taken; trying ${port + 1}.`);
  }
  throw new Trouble(
    `Ports ${wanted} to ${wanted + PORTS_TO_TRY - 1} are all taken. Give another with --port.`,
  );
}

function isFree(port) {
  return new Promise((resolve) => {
    const probe = createServer();
    probe.once('error', () => resolve(false));
    probe.listen(port, host, () => probe.close(() => resolve(true)));
  });
}
