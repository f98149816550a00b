import type { Crossing, FillingPosterior } from './answers.ts';
import { dayNumber, firstDayOfMonth, isoDate, monthIndexOfDay } from './calendar.ts';
import { componentOutlook } from './component-outlook.ts';
import { piecesOf, type ForecastOptions } from './forecast.ts';
import { BULK, layOutOutlook, leaksAt, QUANTITIES, STRENGTH } from './outlook.ts';
import { LEVELS } from './normal.ts';
import { estateOf } from './population.ts';
import { cumulative } from './spread.ts';
import type { ClimateByZone, FillingHistory } from './types.ts';

export interface CrossingRequest {
  /** strength that must not be fallen below, % vol */
  strengthFloor?: number;
  /** volume below which the cask is not worth keeping, litres at 20 °C */
  leastLitres?: number;
  /** last day looked at */
  horizon: string;
}

/**
 * When the strength first stands below a floor, or the volume below a least one (whichever is asked;
 * the earlier of both when both are), as a distribution by month.
 *
 * @throws RangeError when neither is given, or the horizon lies before the posterior
 */
export function crossing(
  posterior: FillingPosterior,
  filling: FillingHistory,
  climate: ClimateByZone,
  request: CrossingRequest,
  options: ForecastOptions,
): Crossing {
  void filling;
  const { strengthFloor, leastLitres } = request;
  if (strengthFloor === undefined && leastLitres === undefined) {
    throw new RangeError('crossing needs a strengthFloor (% vol) or leastLitres (L)');
  }
  const estate = estateOf(options.population);
  const asOfDay = dayNumber(posterior.asOf);
  const lastDay = dayNumber(request.horizon);
  const days = [asOfDay];
  for (let m = monthIndexOfDay(asOfDay) + 1; firstDayOfMonth(m) < lastDay; m++) {
    days.push(firstDayOfMonth(m));
  }
  if (lastDay > asOfDay) days.push(lastDay);
  const outlook = layOutOutlook(posterior, climate, days);
  const components = posterior.components.map((c) => componentOutlook(outlook, c, estate));
  let so = 0;
  const byDate = outlook.days.map((day, m) => {
    const below = (quantity: number, limit: number | undefined, perLitre: number): number =>
      limit === undefined
        ? 0
        : cumulative(
            components.flatMap((c) => piecesOf(c, m * QUANTITIES + quantity)),
            leaksAt(outlook, estate, m),
            perLitre,
            limit,
          );
    // what has once been crossed stays crossed
    so = Math.max(so, below(STRENGTH, strengthFloor, 0), below(BULK, leastLitres, 1));
    return { date: isoDate(day), probability: Math.min(1, so) };
  });
  const [q05, q10, q50, q90, q95] = LEVELS.map((level) => dateOf(byDate, level));
  return {
    byDate,
    q05: q05!,
    q10: q10!,
    q50: q50!,
    q90: q90!,
    q95: q95!,
    probabilityNever: 1 - so,
  };
}

/** First date by which the probability is reached, between the months by straight line. */
function dateOf(byDate: Crossing['byDate'], level: number): string | null {
  const i = byDate.findIndex((p) => p.probability >= level);
  if (i < 0) return null;
  const at = byDate[i]!;
  const before = byDate[i - 1];
  if (!before) return at.date;
  const share = (level - before.probability) / (at.probability - before.probability);
  const from = dayNumber(before.date);
  return isoDate(Math.ceil(from + share * (dayNumber(at.date) - from)));
}
