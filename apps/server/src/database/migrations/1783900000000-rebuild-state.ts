import type { MigrationInterface, QueryRunner } from 'typeorm';
import { rebuildState } from '../rebuild-state.ts';
import { WritableRows } from '../rows.ts';

/** Zones say how they are stowed, and the first print of a label is known by its id: fields of records, not columns. */
export class RebuildState1783900000000 implements MigrationInterface {
  async up(q: QueryRunner): Promise<void> {
    await rebuildState(new WritableRows(q));
  }

  async down(): Promise<void> {
    // An older program reads over fields that it doesn't know.
  }
}
