import PgBoss from 'pg-boss';
import { CONNECTING, schemaOf } from '../database/data-source.ts';
import type { WritableRows } from '../database/rows.ts';
import type { Log } from '../platform/log.ts';
import type { JobQueue, Taken } from './job-queue.ts';

const QUEUE = 'jobs';
/** Times a job is begun: a worker's death is tried again, one that kills every worker is not. */
const MOST_ATTEMPTS = 3;
/** Beyond the work's own limit, before the queue itself takes a job for lost. */
const SLACK_SECONDS = 600;

/** Beside the estate's own schema, because migrations compare that with what they have made. */
export const queueSchemaOf = (databaseUrl: string): string => {
  const schema = schemaOf(databaseUrl);
  return schema === 'public' ? 'rundlet_jobs' : `${schema}_jobs`;
};

/** One queue for all processes on a PostgreSQL, kept by pg-boss in a schema of its own. */
export class BossQueue implements JobQueue {
  readonly shared = true;
  readonly #boss: PgBoss;

  constructor(databaseUrl: string, log: Log) {
    this.#boss = new PgBoss({
      connectionString: databaseUrl,
      schema: queueSchemaOf(databaseUrl),
      max: 2,
      schedule: false,
      ...CONNECTING,
    });
    this.#boss.on('error', (error) => {
      log.failure('the queue of jobs has a fault', error);
    });
  }

  async open(): Promise<void> {
    await this.#boss.start();
    await this.#boss.createQueue(QUEUE);
  }

  async add(tx: WritableRows, id: string, limitSeconds: number): Promise<void> {
    await this.#boss.send(
      QUEUE,
      {},
      {
        id,
        retryLimit: MOST_ATTEMPTS - 1,
        expireInSeconds: limitSeconds + SLACK_SECONDS,
        db: { executeSql: async (text, values) => ({ rows: await tx.statement(text, values) }) },
      },
    );
  }

  async take(): Promise<Taken | null> {
    const [job] = await this.#boss.fetch(QUEUE, { batchSize: 1, includeMetadata: true });
    return job ? { id: job.id, attempt: job.retryCount + 1 } : null;
  }

  async done(id: string): Promise<void> {
    await this.#boss.complete(QUEUE, id);
  }

  async giveBack(id: string): Promise<void> {
    await this.#boss.fail(QUEUE, id);
  }

  async stateOf(id: string): Promise<'waiting' | 'taken' | null> {
    const job = await this.#boss.getJobById(QUEUE, id);
    if (job?.state === 'active') return 'taken';
    return job?.state === 'created' || job?.state === 'retry' ? 'waiting' : null;
  }

  close(): Promise<void> {
    return this.#boss.stop({ graceful: false });
  }
}
