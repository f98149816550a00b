/** Reads files of rows and decides what becomes of them; the server's own thread writes it. */
import { createReadStream, existsSync } from 'node:fs';
import { join } from 'node:path';
import { importFolder } from '../imports/import-folder.ts';
import { runImport, type ImportOrder } from '../imports/import-run.ts';
import { serveTasks, type TaskContext } from '../jobs/serve-tasks.ts';
import { workerRows } from '../jobs/worker-database.ts';
import { Refusal } from '../platform/refusals.ts';

const PIECE_BYTES = 256 * 1024;

const tasks = {
  run: async (
    { file, ...order }: ImportOrder & { file: string },
    { settings, progress, shouldStop, ask }: TaskContext,
  ) => {
    const path = join(importFolder(settings.dataFolder), file);
    if (!existsSync(path))
      throw new Refusal(410, 'file-gone', 'The file is no longer kept here. Send it again.');
    return runImport(
      order,
      () => createReadStream(path, { encoding: 'utf8', highWaterMark: PIECE_BYTES }),
      await workerRows(settings),
      {
        end: () => ask('end', null),
        write: (batch) => ask('write', batch),
        forecast: { assess: (input) => ask('assess', input) },
      },
      {
        shouldStop,
        progress: (share, detail) => {
          progress({ share, detail });
        },
      },
    );
  },
};

serveTasks(tasks);
