import type { FillingPosterior, PosteriorComponent, WhatIf } from './answers.ts';
import { dayNumber, isoDate } from './calendar.ts';
import { memberOfKind } from './fit.ts';
import { componentOutlook, yearsToCome } from './component-outlook.ts';
import { forecastFilling, type ForecastOptions } from './forecast.ts';
import { BULK, layOutOutlook, STRENGTH } from './outlook.ts';
import { BIAS, LEAK, N, THETA_AT } from './gaussian-pool.ts';
import { emptyGauged, gaugeContent } from './linearise.ts';
import { packSymmetric, unpackSymmetric } from './matrix.ts';
import { isPlace } from './segments.ts';
import { caskPrior, estateOf, type Estate } from './population.ts';
import { THETA_COUNT as T } from './priors.ts';
import type { ClimateByZone, FillingHistory, ForecastPoint } from './types.ts';

/** One future: what was changed, and the forecast under it. */
export interface WhatIfAnswer {
  name: string;
  points: ForecastPoint[];
}

/**
 * Forecasts side by side: as things are, and under each change. A move takes the new zone's climate
 * and effects; a re-rack takes the new cask's group as prior and soaks its wood again.
 *
 * @throws RangeError for a change before the latest evidence, or a zone without climate
 */
export function whatIf(
  posterior: FillingPosterior,
  filling: FillingHistory,
  climate: ClimateByZone,
  changes: readonly WhatIf[],
  dates: readonly string[],
  options: ForecastOptions,
): WhatIfAnswer[] {
  const asThingsAre = forecastFilling(posterior, filling, climate, dates, options);
  return [
    { name: 'as things are', points: asThingsAre },
    ...changes.map((change) => {
      const changed = changePosterior(posterior, climate, change, estateOf(options.population));
      const later = dates.filter((d) => d > change.on);
      const points = forecastFilling(changed, filling, climate, later, options);
      const byDate = new Map(points.map((p) => [p.date, p]));
      return {
        name: change.name,
        points: dates.map((d, i) => byDate.get(d) ?? asThingsAre[i]!),
      };
    }),
  ];
}

/** The posterior carried forward to the change and changed there. */
export function changePosterior(
  posterior: FillingPosterior,
  climate: ClimateByZone,
  change: WhatIf,
  estate: Estate,
): FillingPosterior {
  const day = Math.max(dayNumber(change.on), dayNumber(posterior.asOf));
  if (dayNumber(change.on) < dayNumber(posterior.asOf) - 1) {
    throw new RangeError(
      `filling ${posterior.fillingId}: change on ${change.on} lies before its latest evidence (${posterior.asOf})`,
    );
  }
  const zoneId = change.toZoneId ?? posterior.zoneId;
  const floor = change.toFloor ?? (change.toZoneId === undefined ? posterior.floor : null);
  const caskKind = change.toCask ?? posterior.caskKind;
  const moved = change.toCask ? null : zoneDifference(estate, climate, posterior, zoneId, floor);
  const prior = change.toCask
    ? caskPrior(estate, memberOfKind(caskKind, climate, zoneId, floor))
    : null;
  return {
    ...posterior,
    asOf: isoDate(day),
    filledOn: change.toCask ? isoDate(day) : posterior.filledOn,
    zoneId,
    floor,
    caskKind,
    components: carryForward(posterior, climate, day, estate).map((c) => {
      const mean = [...c.mean];
      const P = unpackSymmetric(c.covariance, N);
      if (moved) for (let k = 0; k < 3; k++) mean[THETA_AT + k]! += moved[k]!;
      if (prior) {
        for (let i = 2; i < N; i++) {
          for (let j = 0; j < N; j++) {
            P[i * N + j] = 0;
            P[j * N + i] = 0;
          }
        }
        for (let i = 0; i < T; i++) {
          mean[THETA_AT + i] = prior.mean[i]!;
          for (let j = 0; j < T; j++) {
            P[(THETA_AT + i) * N + THETA_AT + j] = prior.covariance[i * T + j]!;
          }
        }
        mean[BIAS] = 0;
        mean[LEAK] = 0;
      }
      return { ...c, mean, covariance: packSymmetric(P, N) };
    }),
  };
}

function zoneDifference(
  estate: Estate,
  climate: ClimateByZone,
  posterior: FillingPosterior,
  zoneId: string,
  floor: number | null,
): number[] {
  const places = (zone: string, storey: number | null): string[] =>
    memberOfKind(posterior.caskKind, climate, zone, storey).groups.filter(isPlace);
  const effect = (groups: readonly string[], k: number): number =>
    groups.reduce((sum, group) => {
      const column = estate.mixed.levels.get(group)?.columns[k] ?? -1;
      return sum + (column >= 0 ? estate.mixed.beta[column]! : 0);
    }, 0);
  const from = places(posterior.zoneId, posterior.floor);
  const to = places(zoneId, floor);
  return [0, 1, 2].map((k) => effect(to, k) - effect(from, k));
}

const gauged = emptyGauged();

/** Components at a later day: content moved on, its covariance with it, weather's noise added. */
function carryForward(
  posterior: FillingPosterior,
  climate: ClimateByZone,
  day: number,
  estate: Estate,
): PosteriorComponent[] {
  const outlook = layOutOutlook(posterior, climate, [day]);
  return posterior.components.map((c) => {
    const o = componentOutlook(outlook, c, estate);
    const years = yearsToCome(estate, outlook.drives, outlook.years[0]!, o.lostShare[0]!);
    gaugeContent(o.content[0]!, o.content[1]!, gauged);
    // (litres, strength) by state → (ethanol, water) by state
    const a = gauged.litresByEthanol;
    const b = gauged.litresByWater;
    const d = gauged.strengthByEthanol;
    const e = gauged.strengthByWater;
    const det = a * e - b * d;
    const F = new Float64Array(N * N);
    for (let i = 2; i < N; i++) F[i * N + i] = 1;
    for (let k = 0; k < N; k++) {
      const v = o.gradient[BULK * N + k]!;
      const s = o.gradient[STRENGTH * N + k]!;
      F[k] = (v * e - s * b) / det;
      F[N + k] = (s * a - v * d) / det;
    }
    const P = unpackSymmetric(c.covariance, N);
    const FP = multiply(F, P, false);
    const out = multiply(FP, F, true);
    const rate = years.own + years.shared;
    const noise = (load: Float64Array, variance: number): void => {
      const v = load[BULK]!;
      const s = load[STRENGTH]!;
      const ne = (v * e - s * b) / det;
      const nw = (s * a - v * d) / det;
      out[0]! += variance * ne * ne;
      out[1]! += variance * ne * nw;
      out[N]! += variance * ne * nw;
      out[N + 1]! += variance * nw * nw;
    };
    noise(o.rateLoad, rate);
    noise(o.humidityLoad, years.humidity);
    noise(o.waterLoad, years.water);
    const mean = [...c.mean];
    mean[0] = o.content[0]!;
    mean[1] = o.content[1]!;
    return { ...c, mean, covariance: packSymmetric(out, N) };
  });
}

/** A B, or A Bᵀ. */
function multiply(A: Float64Array, B: Float64Array, transposed: boolean): Float64Array {
  const out = new Float64Array(N * N);
  for (let i = 0; i < N; i++) {
    for (let j = 0; j < N; j++) {
      let sum = 0;
      for (let k = 0; k < N; k++)
        sum += A[i * N + k]! * (transposed ? B[j * N + k]! : B[k * N + j]!);
      out[i * N + j] = sum;
    }
  }
  return out;
}
