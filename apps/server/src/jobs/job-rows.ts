import type { Job } from '@rundlet/contracts';
import sql from 'sql-template-tag';
import type { Rows } from '../database/rows.ts';
import type { UnitOfWork } from '../database/unit-of-work.ts';

export interface JobRow {
  readonly id: string;
  readonly kind: string;
  readonly status: Job['status'];
  readonly progress: number | null;
  readonly request: string;
  readonly detail: string;
  readonly result: string | null;
  readonly error: string | null;
  readonly createdBy: string;
  readonly createdAt: string;
  readonly startedAt: string | null;
  readonly finishedAt: string | null;
}

export const jobOf = (row: JobRow): Job => ({
  id: row.id,
  kind: row.kind,
  status: row.status,
  progress: row.progress,
  detail: JSON.parse(row.detail) as Job['detail'],
  result: row.result === null ? null : (JSON.parse(row.result) as unknown),
  error: row.error,
  createdAt: row.createdAt,
  finishedAt: row.finishedAt,
});

/** The job table. */
export class JobRows {
  readonly #reader: Rows;
  readonly #work: UnitOfWork;
  constructor(reader: Rows, work: UnitOfWork) {
    this.#reader = reader;
    this.#work = work;
  }

  byId(id: string): Promise<JobRow | null> {
    return this.#reader.one<JobRow>(sql`SELECT * FROM "job" WHERE "id" = ${id}`);
  }

  underway(kind: string): Promise<{ id: string } | null> {
    return this.#reader.one<{ id: string }>(
      sql`SELECT "id" FROM "job" WHERE "kind" = ${kind} AND "status" IN ('waiting', 'running') ORDER BY "createdAt" DESC LIMIT 1`,
    );
  }

  insert(row: JobRow): Promise<void> {
    return this.#work.write((tx) => tx.insert('job', { ...row }));
  }

  started(id: string, at: string): Promise<number> {
    return this.#work.write((tx) =>
      tx.run(
        sql`UPDATE "job" SET "status" = 'running', "startedAt" = ${at} WHERE "id" = ${id} AND "status" = 'waiting'`,
      ),
    );
  }

  ended(
    id: string,
    how: Pick<JobRow, 'status' | 'progress' | 'detail' | 'result' | 'error' | 'finishedAt'>,
  ): Promise<number> {
    const { status, progress, detail, result, error, finishedAt } = how;
    return this.#work.write((tx) =>
      tx.run(
        sql`UPDATE "job" SET "status" = ${status}, "progress" = ${progress}, "detail" = ${detail}, "result" = ${result}, "error" = ${error}, "finishedAt" = ${finishedAt} WHERE "id" = ${id}`,
      ),
    );
  }

  /** What the last run of the server left behind can't be going on: say so, and forget what is long over. */
  tidy(error: string, now: string, forgetBefore: string): Promise<number> {
    return this.#work.write(async (tx) => {
      await tx.run(
        sql`DELETE FROM "job" WHERE "status" IN ('done', 'failed', 'cancelled') AND "createdAt" < ${forgetBefore}`,
      );
      return tx.run(
        sql`UPDATE "job" SET "status" = 'failed', "error" = ${error}, "finishedAt" = ${now} WHERE "status" IN ('waiting', 'running')`,
      );
    });
  }
}
