import type { FillingPosterior, Population, PosteriorComponent } from './answers.ts';
import { dayNumber, isoDate } from './calendar.ts';
import { refreshShifts } from './fit.ts';
import type { ForecastOptions } from './forecast.ts';
import { THETA_AT } from './gaussian-pool.ts';
import { integrate, P_COUNT, P_LEAK, P_LEAK_FROM, P_LEAK_TO, type LossTally } from './integrate.ts';
import { strengthFromTable } from './linearise.ts';
import { ETHANOL_KG_PER_LITRE, litresFromTable } from './mixture-tables.ts';
import { estateOf } from './population.ts';
import { THETA_COUNT } from './priors.ts';
import { prepareFilling, type Segment } from './segments.ts';
import { createSteps, planSteps } from './steps.ts';
import type { ClimateByZone, FillingHistory } from './types.ts';

/** Expected content on a day that has been. */
export interface TracePoint {
  date: string;
  bulkLitresAt20C: number;
  strengthPercentVol: number;
  litresPureAlcohol: number;
}

export function presentSegment(
  filling: FillingHistory,
  climate: ClimateByZone,
  population: Population,
): Segment {
  const segment = prepareFilling(filling, climate).segments.at(-1)!;
  refreshShifts(segment, estateOf(population));
  return segment;
}

/**
 * The course of the content since it came into the present wood, the mean over its explanations:
 * what to draw behind the measured points. Content on a day is that before the day's own events.
 *
 * @throws RangeError for dates before the liquid came into the wood
 */
export function traceFilling(
  posterior: FillingPosterior,
  filling: FillingHistory,
  climate: ClimateByZone,
  dates: readonly string[],
  options: ForecastOptions,
): TracePoint[] {
  const fromDay = dayNumber(posterior.filledOn);
  const days = dates.map((date) => {
    const day = dayNumber(date);
    if (day < fromDay) {
      throw new RangeError(
        `filling ${filling.id}: ${date} lies before its liquid came into this wood (${posterior.filledOn})`,
      );
    }
    return day;
  });
  const distinct = [...new Set(days)].sort((a, b) => a - b);
  const contents = runThrough(
    posterior,
    presentSegment(filling, climate, options.population),
    distinct,
  );
  return days.map((day) => {
    const m = distinct.indexOf(day);
    const e = contents[m * 2]!;
    const litres = litresFromTable(e, contents[m * 2 + 1]!);
    return {
      date: isoDate(day),
      bulkLitresAt20C: litres,
      strengthPercentVol: strengthFromTable(e, litres),
      litresPureAlcohol: e / ETHANOL_KG_PER_LITRE,
    };
  });
}

/** Mean (ethanol, water) kg on each of the ascending distinct days; mean losses into `tally`. */
export function runThrough(
  posterior: FillingPosterior,
  segment: Segment,
  days: readonly number[],
  tally?: LossTally,
): Float64Array {
  // θ is of the zone where the cask lies now: earlier stays differ from it
  const here = segment.stays.at(-1)!.shift;
  const stays = segment.stays.map((stay) => ({
    ...stay,
    shift: [0, 1, 2].map((k) => stay.shift[k]! - here[k]!) as [number, number, number],
  }));
  const steps = createSteps();
  const initialMarks = planSteps(steps, {
    fromDay: segment.fromDay,
    toDay: days.at(-1) ?? segment.fromDay,
    filledDay: segment.fromDay,
    stays,
    events: segment.events.filter((e) => e.day <= (days.at(-1) ?? segment.fromDay)),
    marks: days,
  });
  const mean = new Float64Array(days.length * 2);
  const out = new Float64Array(days.length * 2);
  const total = posterior.components.reduce((sum, c) => sum + c.weight, 0);
  for (const component of posterior.components) {
    const weight = component.weight / total;
    const parameters = pastParameters(component);
    for (let m = 0; m < initialMarks; m++) {
      out[m * 2] = parameters[0]!;
      out[m * 2 + 1] = parameters[1]!;
    }
    const own = tally ? emptyTally() : undefined;
    integrate(steps, segment.vessel, segment.soakLitres, segment.events, parameters, out, 0, own);
    for (let i = 0; i < out.length; i++) mean[i]! += weight * out[i]!;
    if (tally && own) {
      for (const key of Object.keys(own) as (keyof LossTally)[]) tally[key] += weight * own[key];
    }
  }
  return mean;
}

/** Parameters of an explanation's past, from the filling on. */
function pastParameters(component: PosteriorComponent): Float64Array {
  const parameters = new Float64Array(P_COUNT);
  parameters[0] = component.history.fillEthanolKg;
  parameters[1] = component.history.fillWaterKg;
  for (let k = 0; k < THETA_COUNT; k++) parameters[2 + k] = component.mean[THETA_AT + k]!;
  const { leak, step } = component;
  if (leak) {
    parameters[P_LEAK] = Math.max(0, leak.litresPerYear);
    parameters[P_LEAK_FROM] = dayNumber(leak.startedOn);
    parameters[P_LEAK_TO] = leak.stoppedOn === undefined ? Infinity : dayNumber(leak.stoppedOn);
  } else if (step) {
    // a loss at one go, drawn as a leak of one day
    parameters[P_LEAK] = step.litres * 365.25;
    parameters[P_LEAK_FROM] = dayNumber(step.on);
    parameters[P_LEAK_TO] = dayNumber(step.on) + 1;
  }
  return parameters;
}

export const emptyTally = (): LossTally => ({
  soakEthanol: 0,
  soakWater: 0,
  evaporatedEthanol: 0,
  evaporatedWater: 0,
  leakEthanol: 0,
  leakWater: 0,
  drawnEthanol: 0,
  drawnWater: 0,
  addedEthanol: 0,
  addedWater: 0,
});
