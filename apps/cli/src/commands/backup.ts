import { existsSync } from 'node:fs';
import { copyFile, mkdir, rename, rm, stat } from 'node:fs/promises';
import { dirname, resolve } from 'node:path';
import type { Command } from 'commander';
import type { Context } from '../context.ts';
import { dropAttachments, packAttachments, unpackAttachments } from '../attachment-table.ts';
import {
  checkFile,
  copyDatabase,
  databaseFile,
  dataFolder,
  requireClosed,
} from '../database-file.ts';
import { EXIT, Failure } from '../failure.ts';

export function addBackup(program: Command, contextOf: () => Context): void {
  program
    .command('backup')
    .description(
      'copy the SQLite database and the attachments into one new file, while the server runs or not',
    )
    .argument('<file>', 'file to write; it must not be there yet')
    .option('--data <folder>', 'the server’s data folder (RUNDLET_DATA, else .rundlet)')
    .action(async (file: string, { data }: { data?: string }) => {
      const context = contextOf();
      const from = databaseFile(data, context.environment);
      if (!existsSync(from)) throw new Failure(`There is no database at ${from}.`, EXIT.usage);
      const to = resolve(file);
      if (existsSync(to))
        throw new Failure(`${to} is there already; a backup never overwrites.`, EXIT.usage);
      await mkdir(dirname(to), { recursive: true });
      await copyDatabase(from, to);
      const check = await checkFile(to);
      // After the database: whatever its journal names was kept before it was named.
      const attachments = await packAttachments(dataFolder(data, context.environment), to);
      const { size } = await stat(to);
      context.answer(
        { file: to, bytes: size, ...check, attachments },
        `${to}: ${String(size)} bytes, ${String(check.entries)} journal entries, ${String(attachments)} attachments, last hash ${check.lastHash ?? 'none'}.`,
      );
    });

  program
    .command('restore')
    .description('put a backup in the place of the database; the server must be stopped')
    .argument('<file>', 'a file that rundlet backup wrote')
    .option('--data <folder>', 'the server’s data folder (RUNDLET_DATA, else .rundlet)')
    .option('--force', 'although it looks as if a server had the database open')
    .action(async (file: string, { data, force }: { data?: string; force?: boolean }) => {
      const context = contextOf();
      const to = databaseFile(data, context.environment);
      const check = await checkFile(file);
      if (force !== true) requireClosed(to);
      await mkdir(dirname(to), { recursive: true });
      const aside = existsSync(to)
        ? `${to}.before-${new Date().toISOString().replace(/[:.]/g, '-')}`
        : null;
      if (aside !== null) await rename(to, aside);
      for (const tail of ['-wal', '-shm']) await rm(to + tail, { force: true });
      const attachments = await unpackAttachments(file, dataFolder(data, context.environment));
      await copyFile(file, to);
      await dropAttachments(to);
      context.answer(
        { file: to, before: aside, ...check, attachments },
        `Restored ${String(check.entries)} journal entries and ${String(attachments)} attachments to ${to}.${aside === null ? '' : ` What was there is now ${aside}.`}\nStart the server and run: rundlet verify`,
      );
    });
}
