import type { MigrationInterface, QueryRunner } from 'typeorm';
import { COUNT, DOCUMENT, ID, INSTANT, nullable, primary, text } from '../column-types.ts';
import { index, unique } from '../table.ts';
import { createTable } from './create-table.ts';

/** Spare labels, templates of the site's own, printers. */
export class LabelsOfTheSite1783100000000 implements MigrationInterface {
  async up(q: QueryRunner): Promise<void> {
    await createTable(
      q,
      'spare_label',
      {
        id: primary(text(80)),
        code: text(40),
        serial: nullable(COUNT),
        at: INSTANT,
        record: DOCUMENT,
      },
      [unique('code'), index('serial'), index('at', 'id')],
    );
    await createTable(q, 'label_template', { id: primary(text(80)), record: DOCUMENT });
    await createTable(q, 'printer', { id: primary(ID), record: DOCUMENT });
  }

  async down(q: QueryRunner): Promise<void> {
    for (const table of ['printer', 'label_template', 'spare_label']) await q.dropTable(table);
  }
}
