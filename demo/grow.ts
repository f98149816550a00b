/**
 * Writes a large estate straight into an empty database:
 *
 *     npm run grow -- --database sqlite:/tmp/large.sqlite [--casks 200000] [--entries 5] [--today 2026-11-25] [--seed harrow]
 */
import { parseArgs } from 'node:util';
import { connect, disconnect } from '../apps/server/src/database/data-source.ts';
import { bulkLoad } from './bulk-load.ts';
import { largeEstate } from './large.ts';

const { values: flags } = parseArgs({
  options: {
    database: { type: 'string' },
    casks: { type: 'string', default: '200000' },
    entries: { type: 'string', default: '5' },
    today: { type: 'string', default: new Date().toISOString().slice(0, 10) },
    seed: { type: 'string', default: 'harrow' },
  },
});

try {
  if (flags.database === undefined)
    throw new RangeError('--database is needed: where the estate is to be written');
  await grow(flags.database);
} catch (error) {
  process.stderr.write(`${error instanceof Error ? error.message : String(error)}\n`);
  process.exitCode = 1;
}

async function grow(database: string): Promise<void> {
  const connections = await connect(database);
  // A load that is cut off begins anew: nothing needs to reach the disk before the end.
  const settings =
    connections.dialect === 'sqlite'
      ? ['PRAGMA synchronous = OFF', 'PRAGMA cache_size = -1000000']
      : [];
  for (const setting of settings) await connections.writer.query(setting);
  const started = performance.now();
  const { user, system } = process.cpuUsage();
  const tell = (line: string): void =>
    void process.stdout.write(process.stdout.isTTY ? `\r\u001b[K  ${line}` : '');
  const { entries, records } = await bulkLoad(
    connections,
    largeEstate({
      seed: flags.seed,
      today: flags.today,
      casks: Number(flags.casks),
      entriesPerCask: Number(flags.entries),
    }),
    () => 'keeper',
    (written, { happenedAt }) => {
      tell(`${String(written)} entries, up to ${happenedAt.slice(0, 10)}`);
    },
  );
  const cpu = process.cpuUsage({ user, system });
  const analysed = connections.dialect === 'sqlite' ? 'PRAGMA optimize' : 'ANALYZE';
  await connections.writer.query(analysed);
  await disconnect(connections);
  const seconds = (performance.now() - started) / 1000;
  const processor = (cpu.user + cpu.system) / 1e6;
  process.stdout.write(
    `\n${String(entries)} entries and ${String(records)} records in ${seconds.toFixed(0)} s (${processor.toFixed(0)} s of processor, ${((processor / entries) * 1e6).toFixed(0)} µs an entry; at most ${(process.resourceUsage().maxRSS / 1024).toFixed(0)} MB).\n`,
  );
}
