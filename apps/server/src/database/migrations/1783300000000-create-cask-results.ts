import type { MigrationInterface, QueryRunner } from 'typeorm';
import { DOCUMENT, ID, INSTANT, primary } from '../column-types.ts';
import { index } from '../table.ts';
import { createTable } from './create-table.ts';

export class CreateCaskResults1783300000000 implements MigrationInterface {
  async up(q: QueryRunner): Promise<void> {
    await createTable(
      q,
      'cask_result',
      { id: primary(ID), fillingId: ID, caskId: ID, at: INSTANT, record: DOCUMENT },
      [index('fillingId', 'at')],
    );
  }

  async down(q: QueryRunner): Promise<void> {
    await q.dropTable('cask_result');
  }
}
