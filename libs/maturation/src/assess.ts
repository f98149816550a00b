import type { FillingPosterior, RegaugeAssessment } from './answers.ts';
import { forecastFilling, type ForecastOptions } from './forecast.ts';
import { dayNumber } from './calendar.ts';
import { LEVEL_POINTS } from './normal.ts';
import type { ClimateByZone, FillingHistory, Quantiles, Regauge } from './types.ts';
import { updateFilling } from './update.ts';

export interface AssessOptions extends ForecastOptions {
  /** probability from which a reading is called a possible blunder or leak; default 0.5 */
  threshold?: number;
}

/**
 * Judges a reading on arrival: what was expected, how far off it is, and whether a blunder or a leak
 * is the likelier explanation. `filling` is the history without the reading. The posterior after it
 * comes along, ready to be kept.
 *
 * @throws RangeError for a reading dated before the latest evidence
 */
export function assessRegauge(
  before: FillingPosterior,
  filling: FillingHistory,
  climate: ClimateByZone,
  reading: Regauge,
  options: AssessOptions,
): RegaugeAssessment {
  const { threshold = 0.5, population } = options;
  if (dayNumber(reading.on) < dayNumber(before.asOf) - 1) {
    throw new RangeError(
      `filling ${filling.id}: reading of ${reading.on} is older than its latest evidence (${before.asOf}); refit with updateFilling`,
    );
  }
  const [expected] = forecastFilling(before, filling, climate, [reading.on], { population });
  const { bulk, strength, lpa } = expected!;
  const posterior = updateFilling(
    population,
    { ...filling, regauges: [...filling.regauges, reading] },
    climate,
    before,
  );
  const index = filling.regauges.length;
  const blunder =
    posterior.regauges.find((r) => r.index === index && r.on === reading.on)?.blunderProbability ??
    0;
  const leak = posterior.leak.probability;
  const step = posterior.components.reduce(
    (sum, c) => sum + (c.step && !c.leak ? c.weight * (1 - c.step.leakShare) : 0),
    0,
  );
  const news = leak >= threshold && before.leak.probability < threshold;
  const verdict: RegaugeAssessment['verdict'] =
    blunder >= threshold
      ? 'possible-blunder'
      : news || posterior.leak.runningProbability >= threshold
        ? 'possible-leak'
        : 'as-expected';
  const asExpected = Math.max(0, 1 - blunder - leak - step);
  return {
    expected: { bulk, strength, lpa },
    z: {
      bulk: departure(reading.bulkLitresAt20C, bulk, reading.uLitres),
      strength: departure(reading.strengthPercentVol, strength, reading.uStrength),
    },
    verdict,
    probability:
      verdict === 'possible-blunder'
        ? blunder
        : verdict === 'possible-leak'
          ? leak
          : 1 - Math.max(blunder, leak),
    probabilities: { asExpected, blunder, leak, unloggedWithdrawal: step },
    ...(verdict === 'possible-leak' && posterior.leak.since ? { since: posterior.leak.since } : {}),
    posterior,
  };
}

/** (reading − median) over the spread on its side, measuring uncertainty included. */
function departure(value: number, q: Quantiles, u: number): number {
  const side = value < q.q50 ? q.q50 - q.q10 : q.q90 - q.q50;
  return (value - q.q50) / Math.hypot(side / LEVEL_POINTS[3], u);
}
