import { TableIndex, type MigrationInterface, type QueryRunner } from 'typeorm';
import { index, indexName } from '../table.ts';

/** Indexes that now hold one column more, so that a row need not be read to pass it by or to add it up. */
const WIDENED = [
  ['filling', ['status', 'strengthPercentVol', 'caskCode'], 'filledAt'],
  ['filling', ['status', 'litresPureAlcohol', 'caskCode'], 'filledAt'],
  ['filling', ['status', 'lastGaugedAt', 'caskCode'], 'filledAt'],
  ['posting', ['fillingId', 'cause'], 'ethanolMg'],
] as const;

export class WidenIndexes1788200000000 implements MigrationInterface {
  async up(q: QueryRunner): Promise<void> {
    for (const [table, columns, added] of WIDENED)
      await replace(q, table, columns, [...columns, added]);
  }

  async down(q: QueryRunner): Promise<void> {
    for (const [table, columns, added] of WIDENED)
      await replace(q, table, [...columns, added], columns);
  }
}

async function replace(
  q: QueryRunner,
  table: string,
  before: readonly string[],
  after: readonly string[],
): Promise<void> {
  await q.dropIndex(table, indexName(table, index(...before)));
  await q.createIndex(
    table,
    new TableIndex({ name: indexName(table, index(...after)), columnNames: [...after] }),
  );
}
