import { existsSync } from 'node:fs';
import { isAbsolute, join, resolve } from 'node:path';
import sqlite3 from 'sqlite3';
import { given } from './context.ts';
import { EXIT, Failure } from './failure.ts';

/** Where the server of this environment keeps its SQLite file. @throws Failure on PostgreSQL, which has tools of its own */
export function databaseFile(
  data: string | undefined,
  environment: Readonly<Record<string, string | undefined>>,
): string {
  const url = given(environment, 'DATABASE_URL');
  if (data === undefined && url !== undefined) {
    const file = /^sqlite:(?:\/\/)?(.+)$/.exec(url)?.[1];
    if (file === undefined)
      throw new Failure(
        'DATABASE_URL names a PostgreSQL database: back it up with pg_dump and restore it with pg_restore, and copy the folder attachments of the data folder along.',
        EXIT.usage,
      );
    return isAbsolute(file) ? file : resolve(file);
  }
  return join(dataFolder(data, environment), 'rundlet.sqlite');
}

/** Where the server of this environment keeps everything else. */
export const dataFolder = (
  data: string | undefined,
  environment: Readonly<Record<string, string | undefined>>,
): string => resolve(data ?? given(environment, 'RUNDLET_DATA') ?? '.rundlet');

/** @throws Failure when a server seems to have the file open: SQLite takes these away when the last program closes it */
export function requireClosed(file: string): void {
  if (existsSync(`${file}-shm`))
    throw new Failure(
      `A server seems to have ${file} open. Stop it first; after a crash, --force does it nevertheless.`,
      EXIT.refused,
    );
}

export interface FileCheck {
  readonly entries: number;
  readonly lastHash: string | null;
}

/** Copies a database, in use or not, into a new file as one consistent state. */
export async function copyDatabase(from: string, to: string): Promise<void> {
  const database = await open(from, sqlite3.OPEN_READWRITE);
  try {
    await database.run('VACUUM INTO ?', to);
  } finally {
    await database.close();
  }
}

/** Whether a file is a whole database of Rundlet's, and how far its journal goes. @throws Failure when it is not */
export async function checkFile(file: string): Promise<FileCheck> {
  if (!existsSync(file)) throw new Failure(`There is no file ${file}.`, EXIT.usage);
  const database = await open(file, sqlite3.OPEN_READONLY);
  try {
    const [integrity] = await database.all<{ integrity_check: string }>('PRAGMA integrity_check');
    if (integrity?.integrity_check !== 'ok')
      throw new Failure(
        `${file} is damaged: ${integrity?.integrity_check ?? 'no answer'}.`,
        EXIT.refused,
      );
    const [last] = await database.all<{ seq: number; hash: string }>(
      'SELECT "seq", "hash" FROM "journal_entry" ORDER BY "seq" DESC LIMIT 1',
    );
    return { entries: last?.seq ?? 0, lastHash: last?.hash ?? null };
  } catch (error) {
    if (error instanceof Failure) throw error;
    throw new Failure(
      `${file} is not a database of Rundlet's: ${(error as Error).message}`,
      EXIT.refused,
    );
  } finally {
    await database.close();
  }
}

/** A database with promises in the place of callbacks. */
class DatabaseFile {
  readonly #database: sqlite3.Database;
  constructor(database: sqlite3.Database) {
    this.#database = database;
  }

  all<Row>(sql: string, ...values: string[]): Promise<Row[]> {
    return new Promise((done, fail) => {
      this.#database.all<Row>(sql, values, (error, rows) => {
        if (error === null) done(rows);
        else fail(error);
      });
    });
  }

  run(sql: string, ...values: (string | Buffer)[]): Promise<void> {
    return new Promise((done, fail) => {
      this.#database.run(sql, values, (error: Error | null) => {
        if (error === null) done();
        else fail(error);
      });
    });
  }

  close(): Promise<void> {
    return new Promise((done, fail) => {
      this.#database.close((error) => {
        if (error === null) done();
        else fail(error);
      });
    });
  }
}

/** @throws Failure when it cannot be opened */
export function open(file: string, mode: number): Promise<DatabaseFile> {
  return new Promise((done, fail) => {
    const database: sqlite3.Database = new sqlite3.Database(file, mode, (error) => {
      if (error === null) done(new DatabaseFile(database));
      else fail(new Failure(`${file} cannot be opened: ${error.message}`, EXIT.usage));
    });
  });
}
