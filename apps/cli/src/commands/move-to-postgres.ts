import { spawn } from 'node:child_process';
import { existsSync } from 'node:fs';
import { join } from 'node:path';
import { text } from 'node:stream/consumers';
import type { Command } from 'commander';
import type { Context } from '../context.ts';
import { databaseFile, dataFolder, requireClosed } from '../database-file.ts';
import { EXIT, Failure } from '../failure.ts';
import { serverFile } from '../server-file.ts';

interface Moved {
  readonly tables: number;
  readonly rows: number;
  readonly ok: boolean;
  readonly entries: number;
  readonly lastHash: string;
  readonly failures: readonly { readonly what: string }[];
}

/** What the program goes on reading from the data folder, whichever database it is on. */
const KEPT = {
  'signing-key.json': 'the key that signs checkpoints',
  'sealing-key': 'the key that opens the second steps of signing in',
  attachments: 'photographs and reports that belong to acts',
  'label-runs': 'label files of the last week',
  'demo-sign-ins.json': 'the sign-ins of the demo',
  tls: 'certificates',
};

export function addMoveToPostgres(program: Command, contextOf: () => Context): void {
  program
    .command('move-to-postgres')
    .description(
      'copy the SQLite database into the empty PostgreSQL of DATABASE_URL, and verify it',
    )
    .option('--data <folder>', 'the server’s data folder (RUNDLET_DATA, else .rundlet)')
    .option('--force', 'although it looks as if a server had the database open')
    .action(async ({ data, force }: { data?: string; force?: boolean }) => {
      const context = contextOf();
      const { environment } = context;
      const folder = dataFolder(data, environment);
      const file = databaseFile(folder, environment);
      if (force !== true) requireClosed(file);
      const moved = await move(context, file);
      const kept = Object.entries(KEPT).filter(([name]) => existsSync(join(folder, name)));
      context.answer(
        { file, ...moved, kept: kept.map(([name]) => name) },
        [
          `${String(moved.rows)} rows of ${String(moved.tables)} tables are in the PostgreSQL, each compared; ${String(moved.entries)} journal entries verify, last hash ${moved.lastHash}.`,
          `${file} is as it was. Put it away: what a server wrote there now would be missing in the PostgreSQL.`,
          `The data folder ${folder} stays in use, with DATABASE_URL set.${kept.length === 0 ? '' : ' No database holds what is there:'}`,
          ...kept.map(([name, what]) => `  ${name}: ${what}`),
        ].join('\n'),
      );
    });
}

async function move(context: Context, file: string): Promise<Moved> {
  const child = spawn(process.execPath, [serverFile('move-to-postgres.js'), file], {
    stdio: ['ignore', 'pipe', 'pipe'],
    env: { ...process.env, ...context.environment },
  });
  let last = '';
  child.stderr.on('data', (chunk: Buffer) => {
    last = chunk.toString().trimEnd();
    context.say(last);
  });
  const [answer, code] = await Promise.all([
    text(child.stdout),
    new Promise<number | null>((resolve) => child.on('close', resolve)),
  ]);
  if (code === EXIT.refused) throw new Failure(last, EXIT.refused);
  if (answer === '') throw new Failure(`The move failed: ${last}`, EXIT.broken);
  const moved = JSON.parse(answer) as Moved;
  if (!moved.ok)
    throw new Failure(
      ['The copy does not verify; do not use it.', ...moved.failures.map(({ what }) => what)].join(
        '\n  ',
      ),
      EXIT.negative,
      moved,
    );
  return moved;
}
