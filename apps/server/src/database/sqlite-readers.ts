import { availableParallelism } from 'node:os';
import sqlite3 from 'sqlite3';

/** More would leave the writer no thread: the driver works on Node's pool of four. */
const MOST_CONNECTIONS = 3;
/** Between them. SQLite's own 2 MB hold too little of an estate: its indexes would be read from the file again and again. */
const CACHE_KIB = 64 * 1024;
/** Compiled statements kept by each connection. */
const MOST_KEPT = 100;

/**
 * Reads of a SQLite file, by several connections at once, each of which keeps the statements that it has compiled. The driver
 * itself would compile each anew, and hold a thread for every statement that waits for its connection.
 */
export class SqliteReaders {
  readonly options = { type: 'sqlite' };
  isInitialized = true;
  readonly #idle: Connection[];
  readonly #waiting: ((free: Connection) => void)[] = [];
  readonly #all: readonly Connection[];

  private constructor(connections: readonly Connection[]) {
    this.#all = connections;
    this.#idle = [...connections];
  }

  static async open(file: string, busyTimeout: number): Promise<SqliteReaders> {
    const count = Math.min(MOST_CONNECTIONS, availableParallelism());
    const settings = [
      'PRAGMA query_only = ON',
      `PRAGMA cache_size = -${String(Math.floor(CACHE_KIB / count))}`,
    ];
    return new SqliteReaders(
      await Promise.all(
        Array.from({ length: count }, () => Connection.open(file, busyTimeout, settings)),
      ),
    );
  }

  async query(text: string, values: readonly unknown[] = []): Promise<unknown[]> {
    const connection =
      this.#idle.pop() ?? (await new Promise<Connection>((free) => this.#waiting.push(free)));
    try {
      return await connection.all(text, values);
    } finally {
      const next = this.#waiting.shift();
      if (next) next(connection);
      else this.#idle.push(connection);
    }
  }

  async destroy(): Promise<void> {
    this.isInitialized = false;
    await Promise.all(this.#all.map((connection) => connection.close()));
  }
}

class Connection {
  readonly #database: sqlite3.Database;
  /** By their text, the one used longest ago first. */
  readonly #statements = new Map<string, sqlite3.Statement>();

  private constructor(database: sqlite3.Database) {
    this.#database = database;
  }

  static async open(
    file: string,
    busyTimeout: number,
    settings: readonly string[],
  ): Promise<Connection> {
    const database = await new Promise<sqlite3.Database>((opened, failed) => {
      const made = new sqlite3.Database(file, sqlite3.OPEN_READWRITE, (error) =>
        error ? failed(error) : opened(made),
      );
    });
    database.configure('busyTimeout', busyTimeout);
    const connection = new Connection(database);
    for (const setting of settings) await connection.all(setting, []);
    return connection;
  }

  async all(text: string, values: readonly unknown[]): Promise<unknown[]> {
    const statement = this.#statements.get(text) ?? (await this.#compile(text));
    this.#statements.delete(text);
    try {
      const rows = await new Promise<unknown[]>((done, failed) =>
        statement.all(values, (error: Error | null, found: unknown[]) =>
          error ? failed(error) : done(found),
        ),
      );
      this.#statements.set(text, statement);
      return rows;
    } catch (error) {
      statement.finalize();
      throw error;
    }
  }

  #compile(text: string): Promise<sqlite3.Statement> {
    const [oldest] = this.#statements.size < MOST_KEPT ? [] : this.#statements;
    if (oldest) {
      this.#statements.delete(oldest[0]);
      oldest[1].finalize();
    }
    return new Promise((compiled, failed) => {
      const statement = this.#database.prepare(text, (error: Error | null) =>
        error ? failed(error) : compiled(statement),
      );
    });
  }

  close(): Promise<void> {
    for (const statement of this.#statements.values()) statement.finalize();
    return new Promise((closed, failed) =>
      this.#database.close((error) => (error ? failed(error) : closed())),
    );
  }
}
