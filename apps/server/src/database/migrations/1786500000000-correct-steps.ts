import type { MigrationInterface, QueryRunner } from 'typeorm';
import { rebuildState } from '../rebuild-state.ts';
import { WritableRows } from '../rows.ts';

/** Steps of the chain say which of their facts were corrected, and spirit lots how much of them was received. */
export class CorrectSteps1786500000000 implements MigrationInterface {
  async up(q: QueryRunner): Promise<void> {
    await rebuildState(new WritableRows(q));
  }

  async down(): Promise<void> {
    // An older program reads over fields that it doesn't know.
  }
}
