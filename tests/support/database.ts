import { mkdtemp, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { randomUUID } from 'node:crypto';
import pg from 'pg';
import { queueSchemaOf } from '../../apps/server/src/jobs/boss-queue.ts';

export type DatabaseKind = 'memory' | 'file' | 'postgres';

const postgresServer = process.env['TEST_POSTGRES_URL'];
if (!postgresServer)
  console.warn(
    'POSTGRESQL IS NOT TESTED: set TEST_POSTGRES_URL, like postgres://user@127.0.0.1:5432/postgres, to run the same tests on it.',
  );

/** The databases this run covers: an SQLite file always, PostgreSQL when TEST_POSTGRES_URL is set. */
export const databases: readonly DatabaseKind[] = postgresServer ? ['file', 'postgres'] : ['file'];

export interface EmptyDatabase {
  readonly url: string;
  drop(): Promise<void>;
}

/** An empty database nobody else uses, and the function that removes it. */
export async function emptyDatabase(kind: DatabaseKind): Promise<EmptyDatabase> {
  if (kind === 'memory') return { url: 'sqlite::memory:', drop: async () => undefined };
  if (kind === 'file') {
    const folder = await mkdtemp(join(tmpdir(), 'rundlet-test-'));
    return {
      url: `sqlite:${join(folder, 'test.sqlite')}`,
      drop: () => rm(folder, { recursive: true }),
    };
  }
  if (!postgresServer) throw new Error('TEST_POSTGRES_URL is not set.');
  const schema = `t_${randomUUID().replaceAll('-', '')}`;
  await onServer(postgresServer, `CREATE SCHEMA ${schema}`);
  const url = new URL(postgresServer);
  url.searchParams.set('schema', schema);
  return {
    url: url.href,
    drop: () =>
      onServer(
        postgresServer,
        `DROP SCHEMA ${schema} CASCADE; DROP SCHEMA IF EXISTS ${queueSchemaOf(url.href)} CASCADE`,
      ),
  };
}

async function onServer(url: string, statement: string): Promise<void> {
  const client = new pg.Client(url);
  await client.connect();
  try {
    await client.query(statement);
  } finally {
    await client.end();
  }
}
