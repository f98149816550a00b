/**
 * `rundlet move-to-postgres` runs this: the first argument is the SQLite file, DATABASE_URL the PostgreSQL. Progress goes to
 * standard error, the answer as JSON to standard output. Exit code 3: refused, nothing was written; 5: the copy does not verify.
 */
import 'reflect-metadata';
import { MoveRefused, moveToPostgres } from './database/move-to-postgres.ts';
import { workerFile } from './jobs/worker-file.ts';
import { verifyDatabase } from './journal/verification.ts';

const TELL_EVERY_ROWS = 50_000;
const say = (line: string): void => void process.stderr.write(`${line}\n`);

try {
  const [, , file = ''] = process.argv;
  const to = process.env['DATABASE_URL'] ?? '';
  const moved = await moveToPostgres(file, to, (table, rows, of) => {
    if (rows === of || rows % TELL_EVERY_ROWS === 0)
      say(`${table}: ${String(rows)} of ${String(of)} rows`);
  });
  say('Every row is the same in the copy. The journal is folded again.');
  const { ok, entries, lastHash, failures } = await verifyDatabase(to, {
    readingThread: await workerFile('journal'),
  });
  process.stdout.write(`${JSON.stringify({ ...moved, ok, entries, lastHash, failures })}\n`);
  process.exitCode = ok ? 0 : 5;
} catch (error) {
  say(error instanceof MoveRefused ? error.message : String(error));
  process.exitCode = error instanceof MoveRefused ? 3 : 1;
}
