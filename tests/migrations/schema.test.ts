import sql from 'sql-template-tag';
import { describe, expect, test } from 'vitest';
import { connect, disconnect, TABLES } from '../../apps/server/src/database/data-source.ts';
import { MIGRATIONS } from '../../apps/server/src/database/migrations/index.ts';
import { Rows } from '../../apps/server/src/database/rows.ts';
import { UnitOfWork } from '../../apps/server/src/database/unit-of-work.ts';
import { databases, emptyDatabase, type DatabaseKind } from '../support/database.ts';

async function open(kind: DatabaseKind) {
  const database = await emptyDatabase(kind);
  const connections = await connect(database.url);
  return {
    ...connections,
    rows: new Rows(connections.reader),
    work: new UnitOfWork(connections),
    close: async () => {
      await disconnect(connections);
      await database.drop();
    },
  };
}

describe.each([...databases, 'memory'] as const)('schema on %s', (kind) => {
  test('the migrations build exactly what the declarations describe', async () => {
    const db = await open(kind);
    const drift = await db.writer.driver.createSchemaBuilder().log();
    expect(drift.upQueries.map((q) => q.query)).toEqual([]);
    expect(TABLES.length).toBeGreaterThan(35);
    await db.close();
  });

  test('the migrations can be taken back and made again', async () => {
    const db = await open(kind);
    for (let left = MIGRATIONS.length; left > 0; left--) await db.writer.undoLastMigration();
    await expect(db.rows.all(sql`SELECT * FROM "cask"`)).rejects.toThrow();
    await db.writer.runMigrations();
    expect(await db.rows.all(sql`SELECT * FROM "cask"`)).toEqual([]);
    await db.close();
  });

  test('the largest exact integer, a third, null and true come back as they went in', async () => {
    const db = await open(kind);
    const posting = {
      id: 'p',
      entryId: 'e',
      at: '2026-01-01T00:00:00.000Z',
      month: '2026-01',
      accountId: 'a',
      storeId: null,
      vesselKind: 'vat',
      vesselId: 'v',
      fillingId: null,
      cause: 'received',
      dutyStatus: 'suspended',
      ethanolMg: Number.MAX_SAFE_INTEGER,
      record: '{"a":"é €"}',
    };
    const reading = {
      zoneId: 'z',
      at: '2026-01-01T00:00:00.000Z',
      temperatureC: 1 / 3,
      relativeHumidityPercent: 0.1,
      importId: 'i',
    };
    await db.work.write(async (tx) => {
      await tx.insert('posting', posting);
      await tx.insert('climate_reading', reading);
    });
    expect(await db.rows.one(sql`SELECT * FROM "posting"`)).toEqual(posting);
    expect(await db.rows.one(sql`SELECT * FROM "climate_reading"`)).toEqual(reading);
    expect(await db.rows.one(sql`SELECT SUM("ethanolMg") AS sum FROM "posting"`)).toEqual({
      sum: Number.MAX_SAFE_INTEGER,
    });
    await db.close();
  });

  test('text sorts byte by byte', async () => {
    const db = await open(kind);
    const codes = ['HP-2', 'HP1', 'hp0', 'H_9', 'HP.3', 'É'];
    await db.work.write((tx) =>
      tx.insertMany(
        'store',
        ['id', 'code', 'record'],
        codes.map((code, i) => [`${i}`, code, '{}']),
      ),
    );
    const rows = await db.rows.all<{ code: string }>(
      sql`SELECT "code" FROM "store" ORDER BY "code"`,
    );
    expect(rows.map((r) => r.code)).toEqual(['HP-2', 'HP.3', 'HP1', 'H_9', 'hp0', 'É']);
    await db.close();
  });
});
