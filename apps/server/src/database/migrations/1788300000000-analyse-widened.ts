import type { MigrationInterface, QueryRunner } from 'typeorm';

/** What the planner knew of the indexes that were widened went with them: where it has figures, it gets them anew. */
export class AnalyseWidened1788300000000 implements MigrationInterface {
  async up(q: QueryRunner): Promise<void> {
    const hasFigures =
      q.connection.options.type === 'postgres' ||
      ((await q.query(`SELECT 1 FROM sqlite_master WHERE name = 'sqlite_stat1'`)) as unknown[])
        .length > 0;
    if (!hasFigures) return;
    for (const table of ['filling', 'posting']) await q.query(`ANALYZE "${table}"`);
  }

  down(): Promise<void> {
    return Promise.resolve();
  }
}
