/** Folds the whole journal again and compares; a second thread of this same file reads it meanwhile. */
import { workerData } from 'node:worker_threads';
import type { VerifyReport } from '@rundlet/contracts';
import { serveTasks, type TaskContext } from '../jobs/serve-tasks.ts';
import { guarded } from '../jobs/worker-database.ts';
import { verifyDatabase } from '../journal/verification.ts';
import { isReadingStart, serveReading } from '../journal/verification-thread.ts';

const data: unknown = workerData;
if (isReadingStart(data)) serveReading(data);
else
  serveTasks({
    verify: (
      { checkpoints }: { checkpoints: readonly string[] },
      { settings, progress }: TaskContext,
    ): Promise<VerifyReport> =>
      guarded(() =>
        verifyDatabase(settings.databaseUrl, {
          checkpoints,
          dataFolder: settings.dataFolder,
          readingThread: new URL(import.meta.url),
          onProgress: (share, entries) => {
            progress({ share, detail: { entries } });
          },
        }),
      ),
  });
