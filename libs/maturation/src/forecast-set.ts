import type { FillingPosterior, FillingWithPosterior, SetForecastPoint } from './answers.ts';
import { dayNumber, isoDate } from './calendar.ts';
import { likeliest } from './explanations.ts';
import { memberOfKind } from './fit.ts';
import {
  BULK,
  componentOutlook,
  forecastFilling,
  layOutOutlook,
  LPA,
  QUANTITIES,
  yearsToCome,
  type ComponentOutlook,
  type ForecastOptions,
  type Outlook,
  leaksAt,
} from './forecast.ts';
import { N } from './gaussian-pool.ts';
import { unpackSymmetric } from './matrix.ts';
import { LOT_COMPONENTS, type MixedModel } from './mixed-model.ts';
import { lean, momentsAt } from './moments.ts';
import { LEVEL_POINTS } from './normal.ts';
import { caskPrior, estateOf, type Estate } from './population.ts';
import { THETA_COUNT as T } from './priors.ts';
import type { ClimateByZone, Quantiles } from './types.ts';

/** Additive sums of a set at one date: shards add theirs and finish once. */
export interface SetSums {
  day: number;
  fillings: number;
  bulk: number;
  lpa: number;
  /** what is each filling's own */
  varBulk: number;
  varLpa: number;
  covariance: number;
  thirdBulk: number;
  thirdLpa: number;
  /** variances as if nothing were shared */
  aloneLpa: number;
  /** what one standard deviation of what is shared moves: [bulk, LPA] by rate, humidity and ln k_w */
  rateLoad: [number, number];
  humidityLoad: [number, number];
  waterLoad: [number, number];
  /** [bulk, LPA] by column of the hierarchy, and by lot */
  beta: [number[], number[]];
  lots: Record<string, [number[], number[]]>;
}

/**
 * Sum of bulk and LPA over any set of fillings, and the strength of all of it together, with what
 * they share (site, zone, kind and lot effects, weather to come) counted as shared: the interval of
 * a sum is not the sum of the intervals. Linear in the number of fillings.
 *
 * @throws RangeError for a date before a member's latest evidence
 */
export function forecastSet(
  members: readonly FillingWithPosterior[],
  climate: ClimateByZone,
  dates: readonly string[],
  options: ForecastOptions,
): SetForecastPoint[] {
  if (members.length === 1) {
    const only = members[0]!;
    const points = forecastFilling(only.posterior, only.filling, climate, dates, options);
    return points.map((p): SetForecastPoint => {
      const sd = (p.lpa.q90 - p.lpa.q10) / (2 * LEVEL_POINTS[3]);
      return { ...p, fillings: 1, sdLpaIfIndependent: sd, sdLpa: sd };
    });
  }
  return finishSet(sumSet(members, climate, dates, options), options);
}

/** Sums of nothing yet, at each day. */
export function emptySums(days: readonly number[], columns: number): SetSums[] {
  return days.map((day): SetSums => ({
    day,
    fillings: 0,
    bulk: 0,
    lpa: 0,
    varBulk: 0,
    varLpa: 0,
    covariance: 0,
    thirdBulk: 0,
    thirdLpa: 0,
    aloneLpa: 0,
    rateLoad: [0, 0],
    humidityLoad: [0, 0],
    waterLoad: [0, 0],
    beta: [new Array<number>(columns).fill(0), new Array<number>(columns).fill(0)],
    lots: {},
  }));
}

/** The sums of one shard; add shards with `addSets`, then `finishSet`. */
export function sumSet(
  members: readonly FillingWithPosterior[],
  climate: ClimateByZone,
  dates: readonly string[],
  options: ForecastOptions,
): SetSums[] {
  const estate = estateOf(options.population);
  const sums = emptySums(dates.map(dayNumber), estate.mixed.size);
  for (const { posterior } of members) {
    const asOfDay = dayNumber(posterior.asOf);
    const days = sums.map((s) => Math.max(s.day, asOfDay));
    const outlook = layOutOutlook(posterior, climate, days);
    const components = posterior.components.map((c) => componentOutlook(outlook, c, estate));
    const places = days.map((day) => outlook.days.indexOf(day));
    addMember(sums, places, posterior, climate, outlook, components, estate);
  }
  return sums;
}

const byTheta = [new Float64Array(T), new Float64Array(T)] as const;

/** byThetaᵃ C byThetaᵇ: covariance of two sums' parts through the doubt about the groups. */
function sharedOf(a: 0 | 1, b: 0 | 1, C: Float64Array): number {
  let sum = 0;
  for (let i = 0; i < T; i++) {
    const x = byTheta[a][i]!;
    if (x === 0) continue;
    for (let j = 0; j < T; j++) sum += x * C[i * T + j]! * byTheta[b][j]!;
  }
  return sum;
}

/** Adds one filling to the sums; `places` tells which of its outlook's days each sum's day is. */
export function addMember(
  sums: readonly SetSums[],
  places: ArrayLike<number>,
  posterior: FillingPosterior,
  climate: ClimateByZone,
  outlook: Outlook,
  components: readonly ComponentOutlook[],
  estate: Estate,
): void {
  const { mixed } = estate;
  const L = LOT_COMPONENTS.length;
  const covariances = posterior.components.map((c) => unpackSymmetric(c.covariance, N));
  const member = memberOfKind(posterior.caskKind, climate, posterior.zoneId, posterior.floor);
  const prior = caskPrior(estate, member);
  const top = likeliest(posterior.components);
  const follows = lean(posterior.components[top]!, prior.covariance);
  const C = prior.groupCovariance;
  const c = components[top]!;
  const levels = member.groups.flatMap((group) => mixed.levels.get(group) ?? []);
  sums.forEach((s, n) => {
    const m = places[n]!;
    const years = yearsToCome(estate, outlook.drives, outlook.years[m]!, c.lostShare[m]!);
    const rate = Math.sqrt(years.shared);
    const humidity = Math.sqrt(years.humidity);
    const water = Math.sqrt(years.water);
    const atoms = leaksAt(outlook, estate, m);
    const own = momentsAt(components, covariances, atoms, m, years.own);
    for (const q of [0, 1] as const) {
      const at = m * QUANTITIES + (q === 0 ? BULK : LPA);
      const into = byTheta[q];
      into.fill(0);
      for (let i = 0; i < N; i++) {
        const g = c.gradient[at * N + i]!;
        if (g !== 0) for (let k = 0; k < T; k++) into[k]! += g * follows[i * T + k]!;
      }
      s.rateLoad[q] += rate * c.rateLoad[at]!;
      s.humidityLoad[q] += humidity * c.humidityLoad[at]!;
      s.waterLoad[q] += water * c.waterLoad[at]!;
    }
    s.fillings++;
    s.bulk += own.bulk;
    s.lpa += own.lpa;
    s.varBulk += own.varBulk - Math.min(sharedOf(0, 0, C), 0.95 * own.varBulk);
    s.varLpa += own.varLpa - Math.min(sharedOf(1, 1, C), 0.95 * own.varLpa);
    s.covariance += own.covariance - sharedOf(0, 1, C);
    s.thirdBulk += own.thirdBulk;
    s.thirdLpa += own.thirdLpa;
    const lpa = m * QUANTITIES + LPA;
    s.aloneLpa +=
      own.varLpa +
      years.shared * c.rateLoad[lpa]! ** 2 +
      years.humidity * c.humidityLoad[lpa]! ** 2;
    for (const level of levels) {
      for (let k = 0; k < T; k++) {
        const column = level.columns[k]!;
        if (column < 0) continue;
        s.beta[0][column]! += byTheta[0][k]!;
        s.beta[1][column]! += byTheta[1][k]!;
      }
    }
    if (member.lot === null) return;
    const lot = (s.lots[member.lot] ??= [
      new Array<number>(L).fill(0),
      new Array<number>(L).fill(0),
    ]);
    for (let i = 0; i < L; i++) {
      lot[0][i]! += byTheta[0][LOT_COMPONENTS[i]!]!;
      lot[1][i]! += byTheta[1][LOT_COMPONENTS[i]!]!;
    }
  });
}

/** Adds the sums of two shards, date by date. */
export function addSets(a: readonly SetSums[], b: readonly SetSums[]): SetSums[] {
  const plus = (x: number[], y: number[]): number[] => x.map((v, i) => v + y[i]!);
  return a.map((s, i) => {
    const o = b[i]!;
    const lots: SetSums['lots'] = { ...s.lots };
    for (const [name, [x, y]] of Object.entries(o.lots)) {
      const mine = lots[name];
      lots[name] = mine ? [plus(mine[0], x), plus(mine[1], y)] : [x, y];
    }
    return {
      day: s.day,
      fillings: s.fillings + o.fillings,
      bulk: s.bulk + o.bulk,
      lpa: s.lpa + o.lpa,
      varBulk: s.varBulk + o.varBulk,
      varLpa: s.varLpa + o.varLpa,
      covariance: s.covariance + o.covariance,
      thirdBulk: s.thirdBulk + o.thirdBulk,
      thirdLpa: s.thirdLpa + o.thirdLpa,
      aloneLpa: s.aloneLpa + o.aloneLpa,
      rateLoad: [s.rateLoad[0] + o.rateLoad[0], s.rateLoad[1] + o.rateLoad[1]],
      humidityLoad: [s.humidityLoad[0] + o.humidityLoad[0], s.humidityLoad[1] + o.humidityLoad[1]],
      waterLoad: [s.waterLoad[0] + o.waterLoad[0], s.waterLoad[1] + o.waterLoad[1]],
      beta: [plus(s.beta[0], o.beta[0]), plus(s.beta[1], o.beta[1])],
      lots,
    };
  });
}

/** Turns sums into the set's forecast. */
export function finishSet(sums: readonly SetSums[], options: ForecastOptions): SetForecastPoint[] {
  const { mixed } = estateOf(options.population);
  return sums.map((s) => {
    const weather = (a: 0 | 1, b: 0 | 1): number =>
      s.rateLoad[a] * s.rateLoad[b] +
      s.humidityLoad[a] * s.humidityLoad[b] +
      s.waterLoad[a] * s.waterLoad[b];
    const [bb, bl, ll] = sharedVariances(mixed, s);
    const varBulk = s.varBulk + bb + weather(0, 0);
    const varLpa = s.varLpa + ll + weather(1, 1);
    const covariance = s.covariance + bl + weather(0, 1);
    const strength = s.bulk > 0 ? (100 * s.lpa) / s.bulk : 0;
    // of 100 LPA / bulk, to first order
    const varStrength =
      s.bulk > 0
        ? (1e4 * varLpa - 200 * strength * covariance + strength * strength * varBulk) /
          (s.bulk * s.bulk)
        : 0;
    return {
      date: isoDate(s.day),
      fillings: s.fillings,
      bulk: quantiles(s.bulk, varBulk, s.thirdBulk),
      lpa: quantiles(s.lpa, varLpa, s.thirdLpa),
      strength: quantiles(strength, Math.max(0, varStrength), 0),
      sdLpaIfIndependent: Math.sqrt(s.aloneLpa),
      sdLpa: Math.sqrt(varLpa),
    };
  });
}

/** Variance of the sums through the doubt about groups: [bulk, bulk×LPA, LPA]. */
function sharedVariances(mixed: MixedModel, s: SetSums): [number, number, number] {
  const K = mixed.size;
  const L = LOT_COMPONENTS.length;
  const g = [Float64Array.from(s.beta[0]), Float64Array.from(s.beta[1])];
  const out: [number, number, number] = [0, 0, 0];
  for (const [name, sums] of Object.entries(s.lots)) {
    const lot = mixed.lots.get(name);
    if (!lot) {
      // a lot nobody has gauged yet: all of it as tight or as leaky together
      for (let i = 0; i < L; i++) {
        const v = mixed.lotVariance[i]!;
        out[0] += sums[0][i]! * v * sums[0][i]!;
        out[1] += sums[0][i]! * v * sums[1][i]!;
        out[2] += sums[1][i]! * v * sums[1][i]!;
      }
      continue;
    }
    for (let i = 0; i < L; i++) {
      for (let j = 0; j < L; j++) {
        const v = lot.inverse[i * L + j]!;
        out[0] += sums[0][i]! * v * sums[0][j]!;
        out[1] += sums[0][i]! * v * sums[1][j]!;
        out[2] += sums[1][i]! * v * sums[1][j]!;
      }
      for (let c = 0; c < K; c++) {
        const by = lot.lean[i * K + c]!;
        if (by === 0) continue;
        g[0]![c]! -= by * sums[0][i]!;
        g[1]![c]! -= by * sums[1][i]!;
      }
    }
  }
  for (let a = 0; a < K; a++) {
    const row = a * K;
    let x = 0;
    let y = 0;
    for (let b = 0; b < K; b++) {
      x += mixed.covariance[row + b]! * g[0]![b]!;
      y += mixed.covariance[row + b]! * g[1]![b]!;
    }
    out[0] += g[0]![a]! * x;
    out[1] += g[0]![a]! * y;
    out[2] += g[1]![a]! * y;
  }
  return out;
}

/** Cornish–Fisher to the third moment: few casks with a leak chance each lean to one side. */
function quantiles(mean: number, variance: number, third: number): Quantiles {
  const sd = Math.sqrt(Math.max(0, variance));
  const skew = sd > 0 ? Math.max(-1.2, Math.min(1.2, third / sd ** 3)) : 0;
  const [q05, q10, q50, q90, q95] = LEVEL_POINTS.map((z) =>
    Math.max(0, mean + sd * (z + (skew * (z * z - 1)) / 6)),
  );
  return { q05: q05!, q10: q10!, q50: q50!, q90: q90!, q95: q95! };
}
