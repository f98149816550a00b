import type { FillingWithPosterior, SetForecastPoint, WhatIf } from './answers.ts';
import type { ForecastOptions } from './forecast.ts';
import { forecastSet } from './forecast-set.ts';
import { estateOf } from './population.ts';
import type { ClimateByZone } from './types.ts';
import { changePosterior } from './what-if.ts';

/**
 * Forecasts of a set side by side: as things are, and with each change made to every member on its
 * day. What members share stays shared, as in `forecastSet`.
 *
 * @throws RangeError for a change before a member's latest evidence, or a zone without climate
 */
export function whatIfSet(
  members: readonly FillingWithPosterior[],
  climate: ClimateByZone,
  changes: readonly WhatIf[],
  dates: readonly string[],
  options: ForecastOptions,
): { name: string; points: SetForecastPoint[] }[] {
  const asThingsAre = forecastSet(members, climate, dates, options);
  const estate = estateOf(options.population);
  return [
    { name: 'as things are', points: asThingsAre },
    ...changes.map((change) => {
      const changed = members.map(({ filling, posterior }) => ({
        filling,
        posterior: changePosterior(posterior, climate, change, estate),
      }));
      const later = dates.filter((date) => date > change.on);
      const byDate = new Map(forecastSet(changed, climate, later, options).map((p) => [p.date, p]));
      return { name: change.name, points: dates.map((d, i) => byDate.get(d) ?? asThingsAre[i]!) };
    }),
  ];
}
