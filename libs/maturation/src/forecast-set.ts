import type { FillingPosterior, FillingWithPosterior, SetForecastPoint } from './answers.ts';
import { dayNumber, isoDate } from './calendar.ts';
import { likeliest } from './explanations.ts';
import { memberOfKind } from './fit.ts';
import { componentOutlook, yearsToCome, type ComponentOutlook } from './component-outlook.ts';
import { forecastFilling, type ForecastOptions } from './forecast.ts';
import { BULK, layOutOutlook, leaksAt, LPA, QUANTITIES, type Outlook } from './outlook.ts';
import { N } from './gaussian-pool.ts';
import { inverseOfSymmetric } from './matrix.ts';
import { columnsOf, LOT_COMPONENTS, type Member, type MixedModel } from './mixed-model.ts';
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

/** What members alike share of the hierarchy. */
interface Kinship {
  /** inverse of the covariance of one cask's θ, T × T */
  precision: Float64Array;
  /** covariance of the doubt about its groups, T × T */
  groups: Float64Array;
  /** component of θ, column of the hierarchy; one pair after another */
  columns: Int32Array;
}

const kinships = new WeakMap<Estate, Map<string, Kinship>>();

function kinshipOf(estate: Estate, member: Member): Kinship {
  let known = kinships.get(estate);
  if (!known) kinships.set(estate, (known = new Map<string, Kinship>()));
  let kinship = known.get(member.key);
  if (!kinship) {
    const { covariance, groupCovariance } = caskPrior(estate, member);
    kinship = {
      precision: inverseOfSymmetric(covariance, T, 1e-18),
      groups: groupCovariance,
      columns: Int32Array.from(
        columnsOf(estate.mixed, member).flatMap((list, k) => list.flatMap((column) => [k, column])),
      ),
    };
    known.set(member.key, kinship);
  }
  return kinship;
}

const byTheta = [new Float64Array(T), new Float64Array(T)] as const;
const doubt = new Float64Array(T);

/** byTheta = gᵀ lean: how a quantity moves with the mean of its groups. */
function followGroups(gradient: Float64Array, at: number, follows: Float64Array, q: 0 | 1): void {
  const into = byTheta[q];
  into.fill(0);
  for (let i = 0; i < N; i++) {
    const g = gradient[at + i]!;
    if (g !== 0) for (let k = 0; k < T; k++) into[k]! += g * follows[i * T + k]!;
  }
}

/** doubt = C byTheta */
function weighDoubt(C: Float64Array, q: 0 | 1): void {
  const by = byTheta[q];
  for (let i = 0; i < T; i++) {
    let sum = 0;
    for (let j = 0; j < T; j++) sum += C[i * T + j]! * by[j]!;
    doubt[i] = sum;
  }
}

function dotDoubt(q: 0 | 1): number {
  let sum = 0;
  for (let i = 0; i < T; i++) sum += byTheta[q][i]! * doubt[i]!;
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
  const member = memberOfKind(posterior.caskKind, climate, posterior.zoneId, posterior.floor);
  const { precision, groups, columns } = kinshipOf(estate, member);
  const top = likeliest(posterior.components);
  const follows = lean(posterior.components[top]!, precision);
  const c = components[top]!;
  for (let n = 0; n < sums.length; n++) {
    const s = sums[n]!;
    const m = places[n]!;
    const bulk = m * QUANTITIES + BULK;
    const lpa = m * QUANTITIES + LPA;
    const years = yearsToCome(estate, outlook.drives, outlook.years[m]!, c.lostShare[m]!);
    const own = momentsAt(components, leaksAt(outlook, estate, m), m, years.own);
    addLoad(s.rateLoad, Math.sqrt(years.shared), c.rateLoad, bulk, lpa);
    addLoad(s.humidityLoad, Math.sqrt(years.humidity), c.humidityLoad, bulk, lpa);
    addLoad(s.waterLoad, Math.sqrt(years.water), c.waterLoad, bulk, lpa);
    followGroups(c.gradient, bulk * N, follows, 0);
    followGroups(c.gradient, lpa * N, follows, 1);
    s.fillings++;
    s.bulk += own.bulk;
    s.lpa += own.lpa;
    weighDoubt(groups, 0);
    s.varBulk += own.varBulk - Math.min(dotDoubt(0), 0.95 * own.varBulk);
    s.covariance += own.covariance - dotDoubt(1);
    weighDoubt(groups, 1);
    s.varLpa += own.varLpa - Math.min(dotDoubt(1), 0.95 * own.varLpa);
    s.thirdBulk += own.thirdBulk;
    s.thirdLpa += own.thirdLpa;
    s.aloneLpa +=
      own.varLpa +
      years.shared * c.rateLoad[lpa]! ** 2 +
      years.humidity * c.humidityLoad[lpa]! ** 2;
    for (let i = 0; i < columns.length; i += 2) {
      const k = columns[i]!;
      const column = columns[i + 1]!;
      s.beta[0][column]! += byTheta[0][k]!;
      s.beta[1][column]! += byTheta[1][k]!;
    }
    if (member.lot === null) continue;
    const lot = (s.lots[member.lot] ??= [LOT_COMPONENTS.map(() => 0), LOT_COMPONENTS.map(() => 0)]);
    for (let i = 0; i < LOT_COMPONENTS.length; i++) {
      lot[0][i]! += byTheta[0][LOT_COMPONENTS[i]!]!;
      lot[1][i]! += byTheta[1][LOT_COMPONENTS[i]!]!;
    }
  }
}

function addLoad(
  to: [number, number],
  sd: number,
  load: Float64Array,
  bulk: number,
  lpa: number,
): void {
  to[0] += sd * load[bulk]!;
  to[1] += sd * load[lpa]!;
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
