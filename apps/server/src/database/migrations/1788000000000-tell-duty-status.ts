import { TableColumn, type MigrationInterface, type QueryRunner } from 'typeorm';
import sql, { raw } from 'sql-template-tag';
import { text } from '../column-types.ts';
import { rebuildState } from '../rebuild-state.ts';
import { WritableRows } from '../rows.ts';
import { tableColumns } from './create-table.ts';

const TABLES = ['filling', 'posting'];

/** Fillings and lines of the ledger say whether they are under duty suspension; vats too, in their records alone. */
export class TellDutyStatus1788000000000 implements MigrationInterface {
  async up(q: QueryRunner): Promise<void> {
    const tx = new WritableRows(q);
    for (const table of TABLES) {
      // The rebuild fills them again; a column that must not be empty can be added to an empty table only.
      await tx.run(sql`DELETE FROM ${raw(`"${table}"`)}`);
      await q.addColumns(
        table,
        tableColumns(q, { dutyStatus: text(24) }).map((options) => new TableColumn(options)),
      );
    }
    await rebuildState(tx);
  }

  async down(q: QueryRunner): Promise<void> {
    for (const table of TABLES) await q.dropColumn(table, 'dutyStatus');
  }
}
