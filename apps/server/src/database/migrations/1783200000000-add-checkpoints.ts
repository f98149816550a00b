import type { MigrationInterface, QueryRunner } from 'typeorm';
import { COUNT, DOCUMENT, ID, INSTANT, primary, text } from '../column-types.ts';
import { index } from '../table.ts';
import { createTable } from './create-table.ts';

/** Keys the program signs with, and the checkpoints it signed. */
export class AddCheckpoints1783200000000 implements MigrationInterface {
  async up(q: QueryRunner): Promise<void> {
    await createTable(
      q,
      'signing_key',
      { id: primary(text(43)), announcedAt: INSTANT, record: DOCUMENT },
      [index('announcedAt')],
    );
    await createTable(
      q,
      'checkpoint',
      { id: primary(ID), seq: COUNT, at: INSTANT, record: DOCUMENT },
      [index('at', 'id'), index('seq')],
    );
  }

  async down(q: QueryRunner): Promise<void> {
    await q.dropTable('checkpoint');
    await q.dropTable('signing_key');
  }
}
