/** What one component of a posterior comes to at the dates of an outlook: median, spread on either side, and slopes. */
import type { PosteriorComponent } from './answers.ts';
import type { Drives } from './drives.ts';
import { diagonal, LEAK, N, THETA_AT } from './gaussian-pool.ts';
import { emptyGauged, gaugeContent } from './linearise.ts';
import { ETHANOL_KG_PER_LITRE, litresFromTable } from './mixture-tables.ts';
import {
  BULK,
  LPA,
  QUANTITIES,
  quantitiesAt,
  runState,
  STRENGTH,
  type Outlook,
} from './outlook.ts';
import type { Estate } from './population.ts';
import {
  DECADE_HUMIDITY_SD,
  DECADE_LN_PRESSURE_SD,
  HUMIDITY,
  LAW_LN_RATE_SD,
  LAW_LN_RATE_SD_PER_LOST,
  LAW_LN_RATE_SD_PER_YEAR,
  LAW_LN_RATIO_SD_PER_LOST,
  LN_KE,
  LN_KW,
  LN_SOAK,
  SPREAD_FACTOR,
  STAVE,
  WEATHER_PERSISTENCE,
} from './priors.ts';
import type { Steps } from './steps.ts';

/** Columns of the derivative: state of a component without the dip bias. */
const NUDGES = [0.02, 0.02, 1e-3, 1e-3, 1e-3, 1e-4, 0.01, 0.01, 0.01, 0.02, 1e-3, 0, 1e-3] as const;

/** of the last litres of a cask run dry no slope tells the strength any more; % vol */
const MOST_STRENGTH_SD = 8;

/** how far along its main direction a quantity is tried, in standard deviations */
const TRY = 1.4;

/** share of all soakage below which what bears on it moves nothing any more */
const NO_SOAK = 1e-6;

/** Values of one component at the outlook's dates. */
export interface ComponentOutlook {
  weight: number;
  /** [date][quantity] */
  median: Float64Array;
  /** [date][quantity]: standard deviations below and above, noise included */
  low: Float64Array;
  high: Float64Array;
  /** [date][quantity][N] gradient by the component's state */
  gradient: Float64Array;
  /** [date][quantity] variance through the doubt about the state, straight; [date] of bulk with LPA */
  variance: Float64Array;
  bulkWithLpa: Float64Array;
  /** [date][quantity] change of the quantity by a change of 1 in ln rate, and in humidity: what
   * single years and the weather to come act through */
  rateLoad: Float64Array;
  humidityLoad: Float64Array;
  /** the same by ln k_w alone */
  waterLoad: Float64Array;
  /** [date] share of the content at the start that is gone */
  lostShare: Float64Array;
  /** [date][ethanol, water] content, kg */
  content: Float64Array;
  /** [date][quantity] had the running leak stopped at the start; null without one */
  mended: Float64Array | null;
}

/** Variances of ln rate (the cask's own years; shared weather and law), humidity and ln k_w by a date. */
export interface YearsToCome {
  own: number;
  shared: number;
  humidity: number;
  water: number;
}

/** Variance of the mean of `t` years that lean each on the last, in variances of one year. */
function meanOfYears(t: number): number {
  const r = WEATHER_PERSISTENCE;
  if (t <= 1) return 1 / t;
  return ((1 + r) / (1 - r) - (2 * r * (1 - r ** t)) / (t * (1 - r) ** 2)) / t;
}

export function yearsToCome(
  estate: Estate,
  drives: Drives,
  years: number,
  lostShare: number,
): YearsToCome {
  const t = Math.max(years, 0.25);
  const weather = (spread: number, decade: number): number =>
    spread ** 2 * meanOfYears(t) + decade ** 2;
  return {
    own: estate.filter.yearSd ** 2 / t,
    shared:
      weather(drives.yearSpreadLnPressure, DECADE_LN_PRESSURE_SD) +
      LAW_LN_RATE_SD ** 2 +
      (LAW_LN_RATE_SD_PER_YEAR * t) ** 2 +
      (LAW_LN_RATE_SD_PER_LOST * lostShare) ** 2,
    humidity: weather(drives.yearSpreadHumidity, DECADE_HUMIDITY_SD),
    water: (LAW_LN_RATIO_SD_PER_LOST * lostShare) ** 2,
  };
}

const gauged = emptyGauged();

const q = new Float64Array(QUANTITIES);

/** Working arrays kept from one component to the next: a stock has hundreds of thousands of them. */
const kept: Float64Array[] = [];

function scratch(slot: number, length: number): Float64Array {
  const there = kept[slot];
  if (there && there.length >= length) return there.fill(0, 0, length);
  return (kept[slot] = new Float64Array(length));
}

function outlookOf(dates: number): ComponentOutlook {
  const perQuantity = (): Float64Array => new Float64Array(dates * QUANTITIES);
  return {
    weight: 0,
    median: perQuantity(),
    low: perQuantity(),
    high: perQuantity(),
    gradient: new Float64Array(dates * QUANTITIES * N),
    variance: perQuantity(),
    bulkWithLpa: new Float64Array(dates),
    rateLoad: perQuantity(),
    humidityLoad: perQuantity(),
    waterLoad: perQuantity(),
    lostShare: new Float64Array(dates),
    content: new Float64Array(dates * 2),
    mended: null,
  };
}

/** One component's outlook; in `reuse`, which it overwrites, if that has as many dates. */
export function componentOutlook(
  outlook: Outlook,
  component: PosteriorComponent,
  estate: Estate,
  reuse?: ComponentOutlook,
): ComponentOutlook {
  const dates = outlook.days.length;
  const P = component.covariance;
  const state = Float64Array.from(component.mean);
  const into = reuse && reuse.lostShare.length === dates ? reuse : outlookOf(dates);
  const { content: base, median, gradient, lostShare } = into;
  gradient.fill(0);
  const trial = scratch(0, dates * 2);
  runState(outlook, state, base);
  for (let m = 0; m < dates; m++)
    quantitiesAt(base[m * 2]!, base[m * 2 + 1]!, median, m * QUANTITIES);
  const startLitres = litresFromTable(Math.max(0, state[0]!), Math.max(0, state[1]!));
  for (let m = 0; m < dates; m++) {
    const left = startLitres > 0 ? median[m * QUANTITIES + BULK]! / startLitres : 1;
    lostShare[m] = Math.min(1, Math.max(0, 1 - left));
  }
  const soaks = soakAhead(outlook.steps) > NO_SOAK;
  // derivatives of (e, w) by the rates, for the noise of single years
  const rates = scratch(1, dates * 6);
  for (let k = 0; k < N; k++) {
    const nudge = NUDGES[k]!;
    if (nudge === 0 || (P[diagonal(k)]! <= 0 && k !== THETA_AT + HUMIDITY)) continue;
    if (!soaks && (k === THETA_AT + LN_SOAK || k === THETA_AT + STAVE)) continue;
    const before = state[k]!;
    state[k] = before + nudge;
    runState(outlook, state, trial);
    state[k] = before;
    for (let m = 0; m < dates; m++) {
      quantitiesAt(trial[m * 2]!, trial[m * 2 + 1]!, q, 0);
      for (let j = 0; j < QUANTITIES; j++) {
        gradient[(m * QUANTITIES + j) * N + k] = (q[j]! - median[m * QUANTITIES + j]!) / nudge;
      }
      const slot =
        k - THETA_AT === LN_KE
          ? 0
          : k - THETA_AT === LN_KW
            ? 2
            : k - THETA_AT === HUMIDITY
              ? 4
              : -1;
      if (slot >= 0) {
        rates[m * 6 + slot] = (trial[m * 2]! - base[m * 2]!) / nudge;
        rates[m * 6 + slot + 1] = (trial[m * 2 + 1]! - base[m * 2 + 1]!) / nudge;
      }
    }
  }
  loads(outlook, base, rates, into);
  into.weight = component.weight;
  into.mended = state[LEAK]! > 0 ? mendedCourse(outlook, state) : null;
  spreads(outlook, component, state, estate, into);
  return into;
}

function soakAhead({ soak, count }: Steps): number {
  let ahead = 0;
  for (let i = 0; i < count; i++) ahead += soak[i]!;
  return ahead;
}

function mendedCourse(outlook: Outlook, state: Float64Array): Float64Array {
  const dates = outlook.days.length;
  const sound = state.slice();
  sound[LEAK] = 0;
  const out = new Float64Array(dates * 2);
  runState(outlook, sound, out);
  const quantities = new Float64Array(dates * QUANTITIES);
  for (let m = 0; m < dates; m++) {
    quantitiesAt(out[m * 2]!, out[m * 2 + 1]!, quantities, m * QUANTITIES);
  }
  return quantities;
}

/** Slopes of the quantities by all rates together and by humidity, from those of the content. */
function loads(
  outlook: Outlook,
  base: Float64Array,
  rates: Float64Array,
  { rateLoad, humidityLoad, waterLoad }: ComponentOutlook,
): void {
  for (let m = 0; m < outlook.days.length; m++) {
    // own loss of each component by its own rate; both by humidity
    const e1 = rates[m * 6]!;
    const w2 = rates[m * 6 + 3]!;
    const e3 = rates[m * 6 + 4]!;
    const w3 = rates[m * 6 + 5]!;
    gaugeContent(base[m * 2]!, base[m * 2 + 1]!, gauged);
    const at = m * QUANTITIES;
    rateLoad[at + BULK] = gauged.litresByEthanol * e1 + gauged.litresByWater * w2;
    rateLoad[at + STRENGTH] = gauged.strengthByEthanol * e1 + gauged.strengthByWater * w2;
    rateLoad[at + LPA] = e1 / ETHANOL_KG_PER_LITRE;
    humidityLoad[at + BULK] = gauged.litresByEthanol * e3 + gauged.litresByWater * w3;
    humidityLoad[at + STRENGTH] = gauged.strengthByEthanol * e3 + gauged.strengthByWater * w3;
    humidityLoad[at + LPA] = e3 / ETHANOL_KG_PER_LITRE;
    waterLoad[at + BULK] = gauged.litresByWater * w2;
    waterLoad[at + STRENGTH] = gauged.strengthByWater * w2;
  }
}

/** Quantities tried along one direction, that of the first: bulk takes LPA along nearly as it would go itself. */
const TRIED_ALONE: readonly (readonly number[])[] = [[BULK], [STRENGTH], [LPA]];

const TRIED_TOGETHER: readonly (readonly number[])[] = [[BULK, LPA], [STRENGTH]];

/** P g of a gradient: over its standard deviation, the direction in which a quantity moves most. */
const row = new Float64Array(N);

const tried = new Float64Array(N);

/** Spreads on either side of the median along each quantity's own main direction. */
function spreads(
  outlook: Outlook,
  component: PosteriorComponent,
  state: Float64Array,
  estate: Estate,
  into: ComponentOutlook,
): void {
  const { median, gradient, variance, bulkWithLpa, low, high, lostShare } = into;
  const { rateLoad, humidityLoad, waterLoad } = into;
  const P = component.covariance;
  const dates = outlook.days.length;
  const noise = scratch(2, median.length);
  for (let m = 0; m < dates; m++) {
    const v = yearsToCome(estate, outlook.drives, outlook.years[m]!, lostShare[m]!);
    for (let at = m * QUANTITIES; at < (m + 1) * QUANTITIES; at++) {
      noise[at] =
        (v.own + v.shared) * rateLoad[at]! ** 2 +
        v.humidity * humidityLoad[at]! ** 2 +
        v.water * waterLoad[at]! ** 2;
      variance[at] = Math.max(0, times(P, gradient, at * N, row));
      if (at === m * QUANTITIES + BULK) {
        bulkWithLpa[m] = dot(row, gradient, (m * QUANTITIES + LPA) * N);
      }
    }
  }
  const out = scratch(3, dates * 2);
  const anchors = anchorDates(outlook);
  for (const tries of outlook.rough ? TRIED_TOGETHER : TRIED_ALONE) {
    let from = 0;
    for (const anchor of anchors) {
      const lead = anchor * QUANTITIES + tries[0]!;
      const sd = Math.sqrt(variance[lead]!);
      times(P, gradient, lead * N, row);
      if (sd > 0) for (let k = 0; k < N; k++) row[k]! /= sd;
      for (const side of [-1, 1] as const) {
        const into = side < 0 ? low : high;
        if (sd > 0) {
          for (let k = 0; k < N; k++) tried[k] = state[k]! + side * TRY * row[k]!;
          runState(outlook, tried, out);
        }
        for (let m = from; m <= anchor; m++) {
          quantitiesAt(out[m * 2]!, out[m * 2 + 1]!, q, 0);
          for (let t = 0; t < tries.length; t++) {
            const j = tries[t]!;
            const at = m * QUANTITIES + j;
            // strength hardly bends: the straight line is wide enough
            let s = (j === STRENGTH ? 1 : SPREAD_FACTOR) * Math.sqrt(variance[at]!);
            if (sd > 0) {
              const linear = dot(row, gradient, at * N);
              const actual = (side * (q[j]! - median[at]!)) / TRY;
              // what the straight line misses along the main direction, in proportion
              if (linear > 1e-9) s *= Math.min(3, Math.max(0.05, actual / linear));
            }
            s = Math.sqrt(s * s + noise[at]!);
            into[at] = Math.max(1e-4, j === STRENGTH ? Math.min(s, MOST_STRENGTH_SD) : s);
          }
        }
      }
      from = anchor + 1;
    }
  }
}

/** Days at which directions are tried: all of a few, else some. */
function anchorDates({ days, rough }: Outlook): number[] {
  const last = days.length - 1;
  if (rough) return [...new Set([Math.round(0.5 * last), last])];
  if (days.length <= 8) return days.map((_, i) => i);
  return [0.25, 0.5, 1].map((share) => Math.round(share * last));
}

/** row = P g, P as a packed lower triangle; returns gᵀ P g. */
function times(
  P: readonly number[],
  gradient: Float64Array,
  at: number,
  row: Float64Array,
): number {
  let n = 0;
  for (let a = 0; a < N; a++) {
    const ga = gradient[at + a]!;
    let sum = 0;
    for (let b = 0; b < a; b++) {
      const p = P[n++]!;
      sum += p * gradient[at + b]!;
      row[b]! += p * ga;
    }
    row[a] = sum + P[n++]! * ga;
  }
  return dot(row, gradient, at);
}

function dot(row: Float64Array, gradient: Float64Array, at: number): number {
  let sum = 0;
  for (let k = 0; k < N; k++) sum += row[k]! * gradient[at + k]!;
  return sum;
}
