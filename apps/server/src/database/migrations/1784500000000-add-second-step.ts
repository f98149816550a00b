import type { MigrationInterface, QueryRunner } from 'typeorm';
import { COUNT, DOCUMENT, ID, INSTANT, nullable, primary, text } from '../column-types.ts';
import { createTable } from './create-table.ts';

export class AddSecondStep1784500000000 implements MigrationInterface {
  async up(q: QueryRunner): Promise<void> {
    await createTable(q, 'second_step', {
      personId: primary(ID),
      sealedSecret: text(200),
      confirmedAt: nullable(INSTANT),
      lastStep: COUNT,
      recoveryHashes: DOCUMENT,
    });
  }

  async down(q: QueryRunner): Promise<void> {
    await q.dropTable('second_step');
  }
}
