/**
 * Loads the invented estate into a running server:
 *
 *     node demo/dist/main.js --origin http://127.0.0.1:3000 --data .rundlet/demo [--casks 600] [--today 2026-11-25] [--seed harrow]
 *
 * `--data` is the server's data folder: the demo's sign-ins are read there, and what was loaded is noted there, so that a
 * load that was cut off goes on with the same acts.
 */
import { existsSync, readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { parseArgs } from 'node:util';
import { signedInClient, type Client } from '@rundlet/client';
import { api, type Act } from '@rundlet/contracts';
import { estateHistory, type HistoryOptions } from './history.ts';
import { DemoRefused, loadHistory } from './load.ts';
import { actorOf, type SignIn } from './people.ts';

const { values: flags } = parseArgs({
  options: {
    origin: { type: 'string' },
    data: { type: 'string' },
    casks: { type: 'string', default: '600' },
    today: { type: 'string', default: new Date().toISOString().slice(0, 10) },
    seed: { type: 'string', default: 'harrow' },
  },
});

interface Note extends HistoryOptions {
  loaded: boolean;
}

try {
  const { origin, data } = flags;
  if (origin === undefined || data === undefined)
    throw new RangeError('--origin and --data are needed: the server and its data folder');
  await load(origin, data);
} catch (error) {
  process.stderr.write(`${error instanceof Error ? error.message : String(error)}\n`);
  if (!(error instanceof DemoRefused || error instanceof RangeError) && error instanceof Error)
    process.stderr.write(`${error.stack ?? ''}\n`);
  process.exitCode = 1;
}

async function load(origin: string, data: string): Promise<void> {
  const noteFile = join(data, 'demo.json');
  const noted = existsSync(noteFile) ? (JSON.parse(readFileSync(noteFile, 'utf8')) as Note) : null;
  if (noted?.loaded === true) {
    process.stdout.write('The demo estate is there already.\n');
    return;
  }
  const options: HistoryOptions = noted ?? {
    seed: flags.seed,
    today: flags.today,
    casks: Number(flags.casks),
  };
  const signIns = JSON.parse(readFileSync(join(data, 'demo-sign-ins.json'), 'utf8')) as SignIn[];
  const clients = new Map(
    await Promise.all(
      signIns.map(
        async (person) => [person.signInName, await signedInClient(fetch, origin, person)] as const,
      ),
    ),
  );
  const clientNamed = (name: string) => {
    const client = clients.get(name);
    if (client === undefined) throw new RangeError(`there is no sign-in ${name} in ${data}`);
    return client;
  };
  const keeper = clientNamed('keeper');
  if (noted === null) await requireEmpty(keeper);
  writeFileSync(noteFile, `${JSON.stringify({ ...options, loaded: false })}\n`);
  const started = performance.now();
  const blender = clientNamed('blender');
  const crew = { keeper, blender, clientOf: (act: Act) => clientNamed(actorOf(act, signIns)) };
  const loaded = await loadHistory(estateHistory(options), crew, tell);
  writeFileSync(noteFile, `${JSON.stringify({ ...options, loaded: true })}\n`);
  tell('');
  const seconds = ((performance.now() - started) / 1000).toFixed(1);
  process.stdout.write(
    `Loaded ${String(loaded.acts)} acts and ${String(loaded.loggerRows)} logger rows in ${seconds} s.\n`,
  );
  // The last round's gauges are evidence too; whoever looks at a forecast meanwhile sees the earlier one.
  await blender.call(api.maturation.calibrate);
}

/** Somebody's own journal is not a place for an invented estate. */
async function requireEmpty(client: Client): Promise<void> {
  const { rows } = await client.call(api.journal.list, { query: { limit: 1 } });
  if (rows.length > 0)
    throw new RangeError('The journal is not empty and holds no demo: nothing was loaded.');
}

/** One line that is written over, where somebody looks on. */
function tell(line: string): void {
  if (process.stdout.isTTY) process.stdout.write(`\r\u001b[K${line === '' ? '' : `  ${line}`}`);
}
