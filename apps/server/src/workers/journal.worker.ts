/** Folds the whole journal again and compares. */
import type { VerifyReport } from '@rundlet/contracts';
import { serveTasks, type TaskContext } from '../jobs/serve-tasks.ts';
import { guarded } from '../jobs/worker-database.ts';
import { verifyDatabase } from '../journal/verification.ts';

serveTasks({
  verify: (
    { checkpoints }: { checkpoints: readonly string[] },
    { settings, progress }: TaskContext,
  ): Promise<VerifyReport> =>
    guarded(() =>
      verifyDatabase(settings.databaseUrl, checkpoints, (share, entries) => {
        progress({ share, detail: { entries } });
      }),
    ),
});
