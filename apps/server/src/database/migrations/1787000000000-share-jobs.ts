import { TableColumn, type MigrationInterface, type QueryRunner } from 'typeorm';
import { COUNT, ID, INSTANT, nullable } from '../column-types.ts';
import { tableColumns } from './create-table.ts';

const ADDED = { runBy: nullable(ID), beat: nullable(COUNT), cancelAskedAt: nullable(INSTANT) };

/** Jobs tell which process does them, that it still does, and that somebody wants them stopped. */
export class ShareJobs1787000000000 implements MigrationInterface {
  async up(q: QueryRunner): Promise<void> {
    await q.addColumns(
      'job',
      tableColumns(q, ADDED).map((column) => new TableColumn(column)),
    );
  }

  async down(q: QueryRunner): Promise<void> {
    await q.dropColumns('job', Object.keys(ADDED));
  }
}
