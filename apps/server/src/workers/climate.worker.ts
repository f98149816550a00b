/** Reads loggers' files and draws up the climate of a zone. */
import { climateView } from '../climate/climate-view.ts';
import { readLogger } from '../climate/logger-readings.ts';
import { ZoneMonths } from '../climate/zone-readings.ts';
import { serveTasks, type TaskContext } from '../jobs/serve-tasks.ts';
import { workerRows } from '../jobs/worker-database.ts';

const months = new ZoneMonths();

const tasks = {
  read: ({ csv, timeZone, now }: { csv: string; timeZone: string; now: string }) =>
    readLogger(csv, timeZone, now),

  view: async (
    { zoneId, from, to }: { zoneId: string; from: string | undefined; to: string | undefined },
    { settings }: TaskContext,
  ) => climateView(await workerRows(settings), months, zoneId, { from, to }),
};

export type ClimateTasks = typeof tasks;
serveTasks(tasks);
