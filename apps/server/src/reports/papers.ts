import { Injectable } from '@nestjs/common';
import { Threads } from '../jobs/threads.ts';
import type { WorkerThread } from '../jobs/worker-thread.ts';
import type { PaperTasks } from '../workers/papers.worker.ts';
import type { Report } from './report.ts';

const LIMIT_SECONDS = 120;

/** Reports as PDF, drawn in a thread of their own. */
@Injectable()
export class Papers {
  readonly #thread: WorkerThread<PaperTasks>;

  constructor(threads: Threads) {
    this.#thread = threads.open<PaperTasks>('papers');
  }

  pdf(report: Report): Promise<Uint8Array> {
    return this.#thread.run('report', report, { timeLimitSeconds: LIMIT_SECONDS });
  }
}
