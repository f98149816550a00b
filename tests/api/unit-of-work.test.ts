import sql from 'sql-template-tag';
import { describe, expect, test } from 'vitest';
import { connect, disconnect } from '../../apps/server/src/database/data-source.ts';
import { isUniqueViolation, Rows } from '../../apps/server/src/database/rows.ts';
import { UnitOfWork } from '../../apps/server/src/database/unit-of-work.ts';
import { databases, emptyDatabase } from '../support/database.ts';

const store = (code: string) => ({ id: code, code, record: '{}' });
const countStores = sql`SELECT COUNT(*) AS n FROM "store"`;

describe.each(databases)('unit of work on %s', (kind) => {
  test('a failing write takes nothing else down with it, and readers see only what is committed', async () => {
    const database = await emptyDatabase(kind);
    const connections = await connect(database.url);
    const work = new UnitOfWork(connections);
    const reader = new Rows(connections.reader);
    const seen: number[] = [];
    const results = await Promise.allSettled(
      Array.from({ length: 20 }, (_, i) =>
        work.write(async (tx) => {
          const before = await reader.one<{ n: number }>(countStores);
          await tx.insert('store', store(`S${String(i)}`));
          seen.push(
            ((await reader.one<{ n: number }>(countStores))?.n ?? NaN) - (before?.n ?? NaN),
          );
          if (i % 2 === 0) throw new Error('no');
        }),
      ),
    );
    expect(results.filter((r) => r.status === 'fulfilled')).toHaveLength(10);
    expect(await reader.one(countStores)).toEqual({ n: 10 });
    if (kind === 'file') expect(seen).toEqual(Array.from({ length: 20 }, () => 0));

    const clash = await work
      .write((tx) => tx.insert('store', { ...store('other'), code: 'S1' }))
      .catch((e: unknown) => e);
    expect(isUniqueViolation(clash)).toBe(true);
    await expect(work.write(() => work.write(async () => undefined))).rejects.toThrow(
      'inside another',
    );
    await disconnect(connections);
    await database.drop();
  });

  test('many rows are written in chunks, and replaced where the key clashes', async () => {
    const database = await emptyDatabase(kind);
    const connections = await connect(database.url);
    const work = new UnitOfWork(connections);
    const rows = (record: string) =>
      Array.from({ length: 5000 }, (_, i) => [`s${String(i)}`, `S${String(i)}`, record]);
    const write = (record: string) =>
      work.write((tx) => tx.insertMany('store', ['id', 'code', 'record'], rows(record), ['id']));
    await write('{}');
    await write('{"again":true}');
    expect(
      await new Rows(connections.reader).all(
        sql`SELECT "record", COUNT(*) AS n FROM "store" GROUP BY "record"`,
      ),
    ).toEqual([{ record: '{"again":true}', n: 5000 }]);
    await disconnect(connections);
    await database.drop();
  });
});
