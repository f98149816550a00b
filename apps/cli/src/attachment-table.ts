/** A backup is one file: attachments, which a server keeps as files, travel in a table of it. */
import { existsSync } from 'node:fs';
import { mkdir, readdir, readFile, rename, writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import sqlite3 from 'sqlite3';
import { open } from './database-file.ts';

/** Named by hash and kind, as the server names them. */
const NAME = /^[0-9a-f]{64}\.(jpg|png|webp|pdf)$/;

const folderIn = (dataFolder: string): string => join(dataFolder, 'attachments');

/** Puts the data folder's attachments into the backup. @returns how many */
export async function packAttachments(dataFolder: string, backup: string): Promise<number> {
  const folder = folderIn(dataFolder);
  const names = existsSync(folder) ? (await readdir(folder)).filter((name) => NAME.test(name)) : [];
  if (names.length === 0) return 0;
  const database = await open(backup, sqlite3.OPEN_READWRITE);
  try {
    await database.run('CREATE TABLE "attachment_file" ("name" TEXT PRIMARY KEY, "bytes" BLOB)');
    await database.run('BEGIN');
    for (const name of names)
      await database.run(
        'INSERT INTO "attachment_file" VALUES (?, ?)',
        name,
        await readFile(join(folder, name)),
      );
    await database.run('COMMIT');
  } finally {
    await database.close();
  }
  return names.length;
}

/** Puts a backup's attachments back into the data folder. @returns how many */
export async function unpackAttachments(backup: string, dataFolder: string): Promise<number> {
  const database = await open(backup, sqlite3.OPEN_READONLY);
  try {
    if (!(await hasTable(database))) return 0;
    const folder = folderIn(dataFolder);
    await mkdir(folder, { recursive: true, mode: 0o700 });
    const names = await database.all<{ name: string }>('SELECT "name" FROM "attachment_file"');
    const safe = names.filter(({ name }) => NAME.test(name));
    for (const { name } of safe) {
      const [row] = await database.all<{ bytes: Buffer }>(
        'SELECT "bytes" FROM "attachment_file" WHERE "name" = ?',
        name,
      );
      const file = join(folder, name);
      await writeFile(`${file}.new`, row?.bytes ?? '', { mode: 0o600, flush: true });
      await rename(`${file}.new`, file);
    }
    return safe.length;
  } finally {
    await database.close();
  }
}

/** Takes the table out of a database that was restored: there it would be a second copy. */
export async function dropAttachments(file: string): Promise<void> {
  const database = await open(file, sqlite3.OPEN_READWRITE);
  try {
    if (!(await hasTable(database))) return;
    await database.run('DROP TABLE "attachment_file"');
    await database.run('VACUUM');
  } finally {
    await database.close();
  }
}

const hasTable = async (database: Awaited<ReturnType<typeof open>>): Promise<boolean> =>
  (await database.all(`SELECT 1 FROM "sqlite_master" WHERE "name" = 'attachment_file'`)).length > 0;
