import type { FillingPosterior, SetForecastPoint } from './answers.ts';
import { dayNumber, isoDate } from './calendar.ts';
import { likeliest, mergeAlike } from './explanations.ts';
import { componentOutlook, type ComponentOutlook } from './component-outlook.ts';
import { quantilesAt, type ForecastOptions } from './forecast.ts';
import {
  BULK,
  LPA,
  QUANTITIES,
  quantitiesAt,
  runState,
  stageOf,
  STRENGTH,
  type Outlook,
} from './outlook.ts';
import { addMember, addSets, emptySums, finishSet, type SetSums } from './forecast-set.ts';
import { estateOf } from './population.ts';
import { createSteps, mergeSteps } from './steps.ts';
import type { ClimateByZone, Quantiles } from './types.ts';

/** Numbers per date in a filling's block: bulk, strength, LPA with five quantiles each. */
export const LEVEL_COUNT = 5;
export const BLOCK_WIDTH = QUANTITIES * LEVEL_COUNT;

/** Additive sums of a stock over many dates: shards add theirs and finish once. Survives JSON. */
export interface StockSums {
  days: number[];
  /** full sums at some of the days, and which of `days` those are */
  anchors: SetSums[];
  anchorAt: number[];
  /** nominal courses summed at every day: what carries the seasons between the anchors */
  bulk: number[];
  lpa: number[];
}

/** years from the first date at which spreads are worked out; between them they run straight */
const ANCHOR_YEARS = [0, 0.5, 1.5, 3.5, 7, 11, 15, 20, 30, 50, 100] as const;

/** Positions of the anchors among ascending days: the ends, and the nearest to ANCHOR_YEARS. */
function anchorsAmong(days: readonly number[]): number[] {
  const first = days[0] ?? 0;
  const last = days.length - 1;
  const at = new Set<number>([0, last]);
  let i = 0;
  for (const years of ANCHOR_YEARS) {
    const day = first + years * 365.25;
    while (i < last && Math.abs(days[i + 1]! - day) <= Math.abs(days[i]! - day)) i++;
    if (i < last) at.add(i);
  }
  return [...at].filter((n) => n >= 0).sort((a, b) => a - b);
}

/** Sums of nothing yet over ascending dates. */
export function emptyStock(dates: readonly string[], options: ForecastOptions): StockSums {
  const days = dates.map(dayNumber);
  for (let i = 1; i < days.length; i++) {
    if (!(days[i]! > days[i - 1]!)) {
      throw new RangeError(
        `dates of a stock forecast must ascend: ${dates[i]!} after ${dates[i - 1]!}`,
      );
    }
  }
  const anchorAt = anchorsAmong(days);
  const columns = estateOf(options.population).mixed.size;
  return {
    days,
    anchors: emptySums(
      anchorAt.map((n) => days[n]!),
      columns,
    ),
    anchorAt,
    bulk: days.map(() => 0),
    lpa: days.map(() => 0),
  };
}

const fine = createSteps();
const merged = createSteps(128);

/**
 * Adds fillings to a stock's sums, and hands the quantiles of each on as they come: `each` is given the
 * filling's position and a block of `BLOCK_WIDTH` numbers per date (bulk, strength, LPA; 5, 10, 50, 90
 * and 95 % points), which is overwritten by the next. The monthly course is integrated whole; spreads
 * and what is shared are worked out at a dozen dates, on longer steps, and run straight between.
 * Days before a filling's latest evidence show it as it stands then.
 */
export function addToStock(
  sums: StockSums,
  posteriors: readonly FillingPosterior[],
  climate: ClimateByZone,
  options: ForecastOptions,
  each?: (index: number, block: Float32Array) => void,
): void {
  const { days, anchorAt } = sums;
  if (days.length === 0) return;
  const estate = estateOf(options.population);
  const block = new Float32Array(days.length * BLOCK_WIDTH);
  const course = new Float64Array(days.length * QUANTITIES);
  const content = new Float64Array((days.length + 1) * 2);
  const offsets = new Float64Array(anchorAt.length * BLOCK_WIDTH);
  const places = new Int32Array(days.length);
  const anchorPlaces = new Int32Array(anchorAt.length);
  const kept = new Int32Array(days.length + 1);
  const plan: number[] = [];
  const outlooks: ComponentOutlook[] = [];
  posteriors.forEach((whole, index) => {
    const posterior = { ...whole, components: mergeAlike(whole.components) };
    const asOfDay = dayNumber(posterior.asOf);
    // day 0 of the plan is the posterior's own; dates before it stand there too
    const later = firstAfter(days, asOfDay);
    plan.length = 1;
    plan[0] = asOfDay;
    for (let n = 0; n < days.length; n++) {
      places[n] = n < later ? 0 : plan.length;
      if (n >= later) plan.push(days[n]!);
    }
    const stage = stageOf(posterior, climate, plan, fine);
    kept.fill(-1);
    kept[0] = 0;
    const anchorDays = [asOfDay];
    anchorAt.forEach((n, a) => {
      const place = places[n]!;
      if (place > 0) {
        kept[place] = anchorDays.length;
        anchorDays.push(days[n]!);
      }
      anchorPlaces[a] = kept[place]!;
    });
    mergeSteps(fine, merged, kept);
    const rough: Outlook = {
      ...stage,
      steps: merged,
      days: anchorDays,
      years: anchorDays.map((day) => (day - asOfDay) / 365.25),
      rough: true,
      leaks: [],
    };
    const components = posterior.components.map(
      (c, i) => (outlooks[i] = componentOutlook(rough, c, estate, outlooks[i])),
    );
    addMember(sums.anchors, anchorPlaces, posterior, climate, rough, components, estate);
    const top = likeliest(posterior.components);
    runState(stage, posterior.components[top]!.mean, content);
    for (let n = 0; n < days.length; n++) {
      const m = places[n]! * 2;
      quantitiesAt(content[m]!, content[m + 1]!, course, n * QUANTITIES);
      sums.bulk[n]! += course[n * QUANTITIES + BULK]!;
      sums.lpa[n]! += course[n * QUANTITIES + LPA]!;
    }
    const roughCourse = components[top]!.median;
    // long steps lean to one side by a little in each cask, and by all of it in the sum
    anchorPlaces.forEach((m, a) => {
      const n = anchorAt[a]! * QUANTITIES;
      const of = sums.anchors[a]!;
      of.bulk += course[n + BULK]! - roughCourse[m * QUANTITIES + BULK]!;
      of.lpa += course[n + LPA]! - roughCourse[m * QUANTITIES + LPA]!;
    });
    if (!each) return;
    anchorPlaces.forEach((m, a) => {
      const q = quantilesAt(rough, components, estate, m);
      const at = a * BLOCK_WIDTH;
      put(q.bulk, roughCourse[m * QUANTITIES + BULK]!, offsets, at);
      put(q.strength, roughCourse[m * QUANTITIES + STRENGTH]!, offsets, at + LEVEL_COUNT);
      put(q.lpa, roughCourse[m * QUANTITIES + LPA]!, offsets, at + 2 * LEVEL_COUNT);
    });
    spread(days, anchorAt, course, offsets, asOfDay, block);
    each(index, block);
  });
}

function firstAfter(days: readonly number[], day: number): number {
  let n = 0;
  while (n < days.length && days[n]! <= day) n++;
  return n;
}

function put(q: Quantiles, from: number, into: Float64Array, at: number): void {
  into[at] = q.q05 - from;
  into[at + 1] = q.q10 - from;
  into[at + 2] = q.q50 - from;
  into[at + 3] = q.q90 - from;
  into[at + 4] = q.q95 - from;
}

/** Course plus offsets, straight in time between anchors. */
function spread(
  days: readonly number[],
  anchorAt: readonly number[],
  course: Float64Array,
  offsets: Float64Array,
  asOfDay: number,
  block: Float32Array,
): void {
  let a = 0;
  for (let n = 0; n < days.length; n++) {
    while (a + 2 < anchorAt.length && anchorAt[a + 1]! <= n) a++;
    const share = shareOf(days, anchorAt, a, n, asOfDay);
    const low = a * BLOCK_WIDTH;
    const high = Math.min(a + 1, anchorAt.length - 1) * BLOCK_WIDTH;
    const at = n * BLOCK_WIDTH;
    for (let j = 0; j < QUANTITIES; j++) {
      const from = course[n * QUANTITIES + j]!;
      const most = j === STRENGTH ? 100 : Infinity;
      for (let k = j * LEVEL_COUNT; k < (j + 1) * LEVEL_COUNT; k++) {
        const below = offsets[low + k]!;
        const value = from + below + share * (offsets[high + k]! - below);
        block[at + k] = value < 0 ? 0 : value > most ? most : value;
      }
    }
  }
}

/** How far day n lies from anchor a to the next, 0 to 1. */
function shareOf(
  days: readonly number[],
  anchorAt: readonly number[],
  a: number,
  n: number,
  asOfDay: number,
): number {
  const next = anchorAt[a + 1];
  if (next === undefined) return 0;
  const from = Math.max(days[anchorAt[a]!]!, asOfDay);
  const to = Math.max(days[next]!, asOfDay);
  return to > from ? (Math.max(days[n]!, asOfDay) - from) / (to - from) : 0;
}

/** Adds the sums of two shards over the same dates. */
export function addStocks(a: StockSums, b: StockSums): StockSums {
  return {
    days: a.days,
    anchorAt: a.anchorAt,
    anchors: addSets(a.anchors, b.anchors),
    bulk: a.bulk.map((x, i) => x + b.bulk[i]!),
    lpa: a.lpa.map((x, i) => x + b.lpa[i]!),
  };
}

/** Turns sums into the stock's forecast at every date. */
export function finishStock(sums: StockSums, options: ForecastOptions): SetForecastPoint[] {
  const { days, anchorAt, bulk, lpa } = sums;
  const anchors = finishSet(sums.anchors, options);
  const strengthAt = (n: number): number => (bulk[n]! > 0 ? (100 * lpa[n]!) / bulk[n]! : 0);
  let a = 0;
  return days.map((day, n) => {
    while (a + 2 < anchorAt.length && anchorAt[a + 1]! <= n) a++;
    const b = Math.min(a + 1, anchorAt.length - 1);
    const share = shareOf(days, anchorAt, a, n, -Infinity);
    const low = anchors[a]!;
    const high = anchors[b]!;
    const straight = (x: number, y: number): number => x + share * (y - x);
    const carried = (
      name: 'bulk' | 'lpa' | 'strength',
      courseAt: (n: number) => number,
      most: number,
    ): Quantiles => {
      const now = courseAt(n);
      const value = (k: keyof Quantiles): number => {
        const from = low[name][k] - courseAt(anchorAt[a]!);
        const to = high[name][k] - courseAt(anchorAt[b]!);
        return Math.min(most, Math.max(0, now + straight(from, to)));
      };
      return {
        q05: value('q05'),
        q10: value('q10'),
        q50: value('q50'),
        q90: value('q90'),
        q95: value('q95'),
      };
    };
    return {
      date: isoDate(day),
      fillings: low.fillings,
      bulk: carried('bulk', (i) => bulk[i]!, Infinity),
      lpa: carried('lpa', (i) => lpa[i]!, Infinity),
      strength: carried('strength', strengthAt, 100),
      sdLpaIfIndependent: straight(low.sdLpaIfIndependent, high.sdLpaIfIndependent),
      sdLpa: straight(low.sdLpa, high.sdLpa),
    };
  });
}
