import type { MigrationInterface, QueryRunner } from 'typeorm';
import { COUNT, primary, text, WHOLE } from '../column-types.ts';
import { WritableRows } from '../rows.ts';
import { sumAnew } from '../sums.ts';
import { createTable } from './create-table.ts';

const id = primary(text(36));

/** What is shown of a whole estate is no longer added up each time. */
export class KeepSums1787500000000 implements MigrationInterface {
  async up(q: QueryRunner): Promise<void> {
    await createTable(q, 'stock_sum', {
      dimension: primary(text(12)),
      key: id,
      casks: COUNT,
      bulkMicrolitres: WHOLE,
      pureMicrolitres: WHOLE,
      ethanolMg: WHOLE,
    });
    await createTable(q, 'room_sum', {
      zoneId: id,
      positions: COUNT,
      capacity: COUNT,
      occupied: COUNT,
    });
    await createTable(q, 'posting_sum', {
      month: primary(text(7)),
      accountId: id,
      storeId: id,
      cause: primary(text(24)),
      ethanolMg: WHOLE,
      caskMg: WHOLE,
      ofEarlierMonthsMg: WHOLE,
      entries: COUNT,
    });
    await createTable(q, 'posting_balance', { accountId: id, storeId: id, ethanolMg: WHOLE });
    await sumAnew(new WritableRows(q));
  }

  async down(q: QueryRunner): Promise<void> {
    for (const table of ['posting_balance', 'posting_sum', 'room_sum', 'stock_sum'])
      await q.dropTable(table);
  }
}
