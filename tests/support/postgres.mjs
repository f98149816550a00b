/** A PostgreSQL for one test run, from the programs the system has. Node's own modules only. */
import { execFile, spawn } from 'node:child_process';
import {
  accessSync,
  chownSync,
  constants,
  existsSync,
  mkdtempSync,
  readdirSync,
  rmSync,
} from 'node:fs';
import { createConnection, createServer } from 'node:net';
import { tmpdir } from 'node:os';
import { delimiter, join } from 'node:path';
import { promisify } from 'node:util';

const execute = promisify(execFile);
const START_LIMIT_MS = 30_000;

/**
 * Starts a database that is thrown away on stop(), or answers null where there are no programs for it. `durable`: what was
 * committed outlives the end of its processes, which halt() brings about (in an orderly way by SIGINT, as a crash by SIGQUIT); resume() starts
 * it again at the same address.
 */
export async function startPostgres({ durable = false } = {}) {
  const initdb = findProgram('initdb');
  const postgres = findProgram('postgres');
  if (initdb === null || postgres === null) return null;
  const folder = mkdtempSync(join(tmpdir(), 'rundlet-postgres-'));
  const who = await somebodyElse();
  if (who.uid !== undefined) chownSync(folder, who.uid, who.gid);
  const data = join(folder, 'data');
  const options = {
    ...who,
    cwd: folder,
    env: { PATH: process.env.PATH, HOME: folder, LC_ALL: 'C' },
  };
  await execute(
    initdb,
    ['-D', data, '-U', 'rundlet', '-A', 'trust', '-E', 'UTF8', '--locale=C', '--no-sync'],
    options,
  );
  const port = await freePort();
  // Nothing here needs to survive a power cut.
  const settings = {
    listen_addresses: '127.0.0.1',
    unix_socket_directories: '',
    port,
    fsync: 'off',
    synchronous_commit: durable ? 'on' : 'off',
    full_page_writes: 'off',
    max_connections: 200,
  };
  const flags = Object.entries(settings).flatMap(([key, value]) => ['-c', `${key}=${value}`]);
  const run = () => runPostgres(postgres, ['-D', data, ...flags], options, port);
  let halt = await run();
  return {
    url: `postgres://rundlet@127.0.0.1:${port}/postgres`,
    halt: (signal) => halt(signal),
    resume: async () => {
      halt = await run();
    },
    stop: async () => {
      await halt('SIGINT');
      rmSync(folder, { recursive: true, force: true });
    },
  };
}

/** Starts the server process and answers, once it takes connections, with the function that ends it. */
async function runPostgres(postgres, flags, options, port) {
  const server = spawn(postgres, flags, { ...options, stdio: ['ignore', 'ignore', 'pipe'] });
  let said = '';
  server.stderr.on('data', (chunk) => (said = (said + chunk).slice(-4000)));
  const ended = new Promise((resolve) => server.once('close', resolve));
  const halt = async (signal) => {
    server.kill(signal);
    await ended;
  };
  const until = Date.now() + START_LIMIT_MS;
  while (!(said.includes('ready to accept connections') && (await answers(port)))) {
    if (server.exitCode !== null || Date.now() > until) {
      await halt('SIGINT');
      throw new Error(`PostgreSQL did not start:\n${said}`);
    }
    await new Promise((resolve) => setTimeout(resolve, 100));
  }
  return halt;
}

function findProgram(name) {
  const versions = '/usr/lib/postgresql';
  const folders = (process.env.PATH ?? '').split(delimiter);
  if (existsSync(versions))
    folders.push(
      ...readdirSync(versions)
        .sort((a, b) => Number(b) - Number(a))
        .map((version) => join(versions, version, 'bin')),
    );
  return folders.map((folder) => join(folder, name)).find(isProgram) ?? null;
}

function isProgram(path) {
  try {
    accessSync(path, constants.X_OK);
    return true;
  } catch {
    return false;
  }
}

/** PostgreSQL refuses to run as root: then it runs as another user. */
async function somebodyElse() {
  if (process.getuid?.() !== 0) return {};
  for (const name of ['postgres', 'nobody'])
    try {
      const [uid, gid] = await Promise.all(
        ['-u', '-g'].map(async (flag) => Number((await execute('id', [flag, name])).stdout)),
      );
      return { uid, gid };
    } catch {
      // No such user.
    }
  throw new Error(
    'PostgreSQL does not run as root, and there is neither a user postgres nor nobody.',
  );
}

function freePort() {
  return new Promise((resolve, reject) => {
    const probe = createServer();
    probe.once('error', reject);
    probe.listen(0, '127.0.0.1', () => {
      const { port } = probe.address();
      probe.close(() => resolve(port));
    });
  });
}

function answers(port) {
  return new Promise((resolve) => {
    const socket = createConnection({ host: '127.0.0.1', port });
    socket.once('connect', () => {
      socket.destroy();
      resolve(true);
    });
    socket.once('error', () => resolve(false));
  });
}
