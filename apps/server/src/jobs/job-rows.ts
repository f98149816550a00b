import type { Job } from '@rundlet/contracts';
import sql from 'sql-template-tag';
import type { Rows, WritableRows } from '../database/rows.ts';
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
  readonly runBy: string | null;
  readonly beat: number | null;
  readonly cancelAskedAt: string | null;
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

type End = Pick<JobRow, 'status' | 'progress' | 'detail' | 'result' | 'error' | 'finishedAt'>;

const UNDERWAY = sql`"status" IN ('waiting', 'running')`;
const rowOf = (rows: Rows, id: string): Promise<JobRow | null> =>
  rows.one<JobRow>(sql`SELECT * FROM "job" WHERE "id" = ${id}`);
const underwayOf = (rows: Rows, kind: string): Promise<{ id: string } | null> =>
  rows.one<{ id: string }>(
    sql`SELECT "id" FROM "job" WHERE "kind" = ${kind} AND ${UNDERWAY} ORDER BY "createdAt" DESC LIMIT 1`,
  );

/** The table of jobs. Every change says what it takes the job for, so that of two processes one has its way. */
export class JobRows {
  readonly #reader: Rows;
  readonly #work: UnitOfWork;
  constructor(reader: Rows, work: UnitOfWork) {
    this.#reader = reader;
    this.#work = work;
  }

  byId(id: string): Promise<JobRow | null> {
    return rowOf(this.#reader, id);
  }

  underway(kind: string): Promise<{ id: string } | null> {
    return underwayOf(this.#reader, kind);
  }

  /** All that wait or run. */
  allUnderway(): Promise<JobRow[]> {
    return this.#reader.all<JobRow>(sql`SELECT * FROM "job" WHERE ${UNDERWAY}`);
  }

  /**
   * Writes the row, and whatever goes with it; with `oneOfItsKind` only while no other of the kind is underway.
   * @returns the id of the job that is now to be done
   */
  insert(
    row: JobRow,
    oneOfItsKind: boolean,
    also: (tx: WritableRows) => Promise<void>,
  ): Promise<string> {
    return this.#work.write(
      async (tx) => {
        const other = oneOfItsKind ? await underwayOf(tx, row.kind) : null;
        if (other) return other.id;
        await tx.insert('job', { ...row });
        await also(tx);
        return row.id;
      },
      oneOfItsKind ? 'jobs' : undefined,
    );
  }

  /** The job as it is begun by this run; null when it is over already. */
  begin(id: string, runBy: string, at: string): Promise<JobRow | null> {
    return this.#work.write(async (tx) => {
      const begun = await tx.run(
        sql`UPDATE "job" SET "status" = 'running', "startedAt" = ${at}, "runBy" = ${runBy}, "beat" = 0 WHERE "id" = ${id} AND ${UNDERWAY}`,
      );
      return begun === 0 ? null : rowOf(tx, id);
    });
  }

  /** Says that the run is alive and how far it is. @returns the row; null when the job is no longer this run's */
  beat(id: string, runBy: string, progress: number | null, detail: string): Promise<JobRow | null> {
    return this.#work.write(async (tx) => {
      const mine = await tx.run(
        sql`UPDATE "job" SET "beat" = "beat" + 1, "progress" = ${progress}, "detail" = ${detail} WHERE "id" = ${id} AND "runBy" = ${runBy} AND "status" = 'running'`,
      );
      return mine === 0 ? null : rowOf(tx, id);
    });
  }

  /** Only the run that does it, or nobody, may end it. */
  end(id: string, runBy: string | null, how: End): Promise<number> {
    const { status, progress, detail, result, error, finishedAt } = how;
    const owner = runBy === null ? sql`"runBy" IS NULL` : sql`"runBy" = ${runBy}`;
    return this.#work.write((tx) =>
      tx.run(
        sql`UPDATE "job" SET "status" = ${status}, "progress" = ${progress}, "detail" = ${detail}, "result" = ${result}, "error" = ${error}, "finishedAt" = ${finishedAt} WHERE "id" = ${id} AND ${owner} AND ${UNDERWAY}`,
      ),
    );
  }

  /** Lets another run begin it, unless it has moved on since it was looked at. */
  release(id: string, runBy: string, beat?: number): Promise<number> {
    const still = beat === undefined ? sql`1 = 1` : sql`"beat" = ${beat}`;
    return this.#work.write((tx) =>
      tx.run(
        sql`UPDATE "job" SET "status" = 'waiting', "runBy" = NULL, "beat" = NULL WHERE "id" = ${id} AND "runBy" = ${runBy} AND "status" = 'running' AND ${still}`,
      ),
    );
  }

  /** One that waits is cancelled now; one that runs, when its run sees it. */
  askToCancel(id: string, at: string): Promise<void> {
    return this.#work.write(async (tx) => {
      await tx.run(
        sql`UPDATE "job" SET "status" = 'cancelled', "finishedAt" = ${at} WHERE "id" = ${id} AND "status" = 'waiting'`,
      );
      await tx.run(
        sql`UPDATE "job" SET "cancelAskedAt" = ${at} WHERE "id" = ${id} AND "status" = 'running'`,
      );
    });
  }

  /** Forgets what is long over. */
  forget(before: string): Promise<number> {
    return this.#work.write((tx) =>
      tx.run(
        sql`DELETE FROM "job" WHERE "status" IN ('done', 'failed', 'cancelled') AND "createdAt" < ${before}`,
      ),
    );
  }
}
