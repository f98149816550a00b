import type { MigrationInterface, QueryRunner } from 'typeorm';
import { ID, primary } from '../column-types.ts';
import { rebuildState } from '../rebuild-state.ts';
import { WritableRows } from '../rows.ts';
import { index } from '../table.ts';
import { createTable } from './create-table.ts';

/** Bottling runs are found by the spirit lots and the blend that are in them. */
export class BottlingsByLot1783800000000 implements MigrationInterface {
  async up(q: QueryRunner): Promise<void> {
    for (const list of ['lot', 'blend'])
      await createTable(q, `bottling_run_${list}`, { ownerId: primary(ID), value: primary(ID) }, [
        index('value'),
      ]);
    await rebuildState(new WritableRows(q));
  }

  async down(q: QueryRunner): Promise<void> {
    await q.dropTable('bottling_run_blend');
    await q.dropTable('bottling_run_lot');
  }
}
