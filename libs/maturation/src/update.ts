import type { Calibration, FillingPosterior, Population } from './answers.ts';
import { toUnit } from './calibrate.ts';
import { createFitWorkspace, type FitWorkspace } from './fit.ts';
import { unpackSymmetric } from './matrix.ts';
import { caskPrior, estateOf } from './population.ts';
import { posteriorOf } from './posterior.ts';
import { THETA_COUNT } from './priors.ts';
import { prepareFilling } from './segments.ts';
import type { ClimateByZone, FillingHistory } from './types.ts';

let workspace: FitWorkspace | null = null;

/**
 * The posterior of one filling against a settled population: for a regauge that has just arrived, a
 * filling of today, or a shard of a large estate. Some milliseconds. Give the calibration (or the
 * previous posterior) when the filling took part in it, so that it does not count twice.
 *
 * @throws RangeError as `calibrate` does
 */
export function updateFilling(
  known: Calibration | Population,
  filling: FillingHistory,
  climate: ClimateByZone,
  previous?: FillingPosterior,
): FillingPosterior {
  const population = 'population' in known ? known.population : known;
  const before = previous ?? ('posteriors' in known ? known.posteriors[filling.id] : undefined);
  const estate = estateOf(population);
  const { prepared, fits } = toUnit(prepareFilling(filling, climate));
  for (const fit of fits) fit.star.set(caskPrior(estate, fit.member).mean);
  const last = fits.at(-1)!;
  if (before?.evidence) {
    last.evidence = {
      member: last.member,
      information: unpackSymmetric(before.evidence.information, THETA_COUNT),
      vector: Float64Array.from(before.evidence.vector),
    };
  }
  workspace ??= createFitWorkspace();
  return posteriorOf(workspace, estate, prepared, fits);
}
