import type { MigrationInterface, QueryRunner } from 'typeorm';
import { DOCUMENT, ID, INSTANT, primary, text } from '../column-types.ts';
import { index, unique } from '../table.ts';
import { createTable } from './create-table.ts';

export class AddBottlingRuns1783400000000 implements MigrationInterface {
  async up(q: QueryRunner): Promise<void> {
    await createTable(
      q,
      'bottling_run',
      { id: primary(ID), code: text(40), vatId: ID, at: INSTANT, record: DOCUMENT },
      [unique('code'), index('at', 'id')],
    );
  }

  async down(q: QueryRunner): Promise<void> {
    await q.dropTable('bottling_run');
  }
}
