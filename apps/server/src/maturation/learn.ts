/** Learning from all regauges. Runs in a worker thread of its own. */
import { calibrate, type FillingHistory } from '@rundlet/maturation';
import sql from 'sql-template-tag';
import type { TaskContext } from '../jobs/serve-tasks.ts';
import { workerRows } from '../jobs/worker-database.ts';
import { Beliefs } from './beliefs.ts';
import type { NewCalibration } from './calibration-rows.ts';
import { historyOf, readFillings } from './histories.ts';

/** Share of the work that reading the records is. */
const READING = 0.05;

export async function learn(_: object, context: TaskContext): Promise<NewCalibration> {
  const rows = await workerRows(context.settings);
  // The number of the last entry is taken before the records are read: what comes in meanwhile counts as new.
  const { climates, seq } = await new Beliefs().knowledge(rows);
  const histories: FillingHistory[] = [];
  for await (const chunk of readFillings(rows, sql`1 = 1`)) {
    for (const records of chunk) histories.push(historyOf(records));
    context.progress({ share: null, detail: { stage: 'reading', fillings: histories.length } });
  }
  const { population, posteriors } = calibrate(histories, climates.byZone, {
    shouldStop: context.shouldStop,
    onProgress: ({ phase, share }) => {
      context.progress({
        share: READING + (1 - READING) * share,
        detail: { stage: phase, fillings: histories.length },
      });
    },
  });
  const regaugesOf = new Map(histories.map((h) => [h.id, h.regauges.length]));
  return {
    fillings: population.fillings,
    regauges: population.regauges,
    seq,
    population,
    climates: { key: climates.key, byZone: climates.byZone, logged: [...climates.logged] },
    posteriors: Object.values(posteriors).map((posterior) => ({
      fillingId: posterior.fillingId,
      regauges: regaugesOf.get(posterior.fillingId) ?? 0,
      json: JSON.stringify(posterior),
    })),
  };
}
