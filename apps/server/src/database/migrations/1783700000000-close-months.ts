import type { MigrationInterface, QueryRunner } from 'typeorm';
import { DOCUMENT, INSTANT, primary, text } from '../column-types.ts';
import { createTable } from './create-table.ts';

export class CloseMonths1783700000000 implements MigrationInterface {
  async up(q: QueryRunner): Promise<void> {
    const month = text(7);
    await createTable(q, 'month_close', {
      id: primary(month),
      closedAt: INSTANT,
      record: DOCUMENT,
    });
    await createTable(q, 'account_lock', { id: primary(month), through: month, record: DOCUMENT });
  }

  async down(q: QueryRunner): Promise<void> {
    await q.dropTable('account_lock');
    await q.dropTable('month_close');
  }
}
