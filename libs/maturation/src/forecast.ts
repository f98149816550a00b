import type { FillingPosterior, Population } from './answers.ts';
import { dayNumber } from './calendar.ts';
import { componentOutlook, type ComponentOutlook } from './component-outlook.ts';
import {
  BULK,
  layOutOutlook,
  leaksAt,
  LPA,
  QUANTITIES,
  STRENGTH,
  type Outlook,
} from './outlook.ts';
import { estateOf, type Estate } from './population.ts';
import { LEAK_RATE_CHANGES, LEAK_STOPS_EARLY } from './priors.ts';
import { quantilesOf, type Piece } from './spread.ts';
import type { ClimateByZone, FillingHistory, ForecastPoint } from './types.ts';

export interface ForecastOptions {
  population: Population;
}

/** a leak takes litres, not strength */
const NO_LEAK = [{ chance: 1, lost: 0, spread: 0 }];

/**
 * Bulk, strength and LPA of a filling at dates on or after the posterior's own, as 5–95 % points of
 * the true content (no measurement error added). Nothing is drawn or moved between.
 *
 * @throws RangeError for a date before the latest evidence, or a zone without climate
 */
export function forecastFilling(
  posterior: FillingPosterior,
  filling: FillingHistory,
  climate: ClimateByZone,
  dates: readonly string[],
  options: ForecastOptions,
): ForecastPoint[] {
  void filling;
  const estate = estateOf(options.population);
  const order = dates.map((date, i) => ({ date, i })).sort((a, b) => (a.date < b.date ? -1 : 1));
  const outlook = layOutOutlook(
    posterior,
    climate,
    order.map((o) => dayNumber(o.date)),
  );
  const components = posterior.components.map((c) => componentOutlook(outlook, c, estate));
  const points = order.map(({ date }): ForecastPoint => {
    const m = outlook.days.indexOf(Math.max(dayNumber(date), outlook.asOfDay));
    return { date, ...quantilesAt(outlook, components, estate, m) };
  });
  const result: ForecastPoint[] = [];
  order.forEach(({ i }, m) => (result[i] = points[m]!));
  return result;
}

/** One quantity of one component at a date, as pieces: a running leak may yet stop by itself. */
export function piecesOf(c: ComponentOutlook, at: number): Piece[] {
  const median = c.median[at]!;
  const low = c.low[at]!;
  const high = c.high[at]!;
  if (!c.mended) return [{ weight: c.weight, median, low, high }];
  const saved = c.mended[at]! - median;
  const change = LEAK_RATE_CHANGES * Math.abs(saved);
  return [0, 1 / 3, 2 / 3].map((share) => ({
    weight: c.weight * (share === 0 ? 1 - 2 * LEAK_STOPS_EARLY : LEAK_STOPS_EARLY),
    median: median + share * saved,
    low: Math.hypot(low, change * (1 - share)),
    high: Math.hypot(high, change * (1 - share)),
  }));
}

/** Quantiles of bulk, strength and LPA at the outlook's m-th day. */
export function quantilesAt(
  outlook: Outlook,
  components: readonly ComponentOutlook[],
  estate: Estate,
  m: number,
): Omit<ForecastPoint, 'date'> {
  const pieces = (j: number): Piece[] => {
    const first = piecesOf(components[0]!, m * QUANTITIES + j);
    for (let i = 1; i < components.length; i++) {
      first.push(...piecesOf(components[i]!, m * QUANTITIES + j));
    }
    return first;
  };
  const atoms = leaksAt(outlook, estate, m);
  const strength = pieces(STRENGTH);
  const lpaPerLitre = strength.reduce((sum, p) => sum + (p.weight * p.median) / 100, 0);
  return {
    bulk: quantilesOf(pieces(BULK), atoms, 1, 0, Infinity),
    strength: quantilesOf(strength, NO_LEAK, 0, 0, 100),
    lpa: quantilesOf(pieces(LPA), atoms, lpaPerLitre, 0, Infinity),
  };
}
