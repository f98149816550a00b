import type { MigrationInterface, QueryRunner } from 'typeorm';
import { rebuildState } from '../rebuild-state.ts';
import { WritableRows } from '../rows.ts';

/** Casks since when they are in their condition, stock-takes what their lines are worked out from: fields of records, not columns. */
export class RebuildState1783500000000 implements MigrationInterface {
  async up(q: QueryRunner): Promise<void> {
    await rebuildState(new WritableRows(q));
  }

  async down(): Promise<void> {
    // An older program reads over fields that it doesn't know.
  }
}
