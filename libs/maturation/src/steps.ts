import { firstDayOfMonth, monthIndexOfDay } from './calendar.ts';
import type { Drives } from './drives.ts';
import { temperatureNode } from './mixture-tables.ts';
import { LAG_DAYS, LAG_START_SHARE, REFERENCE_C, SOAK_DAYS } from './priors.ts';

/**
 * The integration's plan for one filling: month by month, cut where something happens. One plan
 * serves every trajectory of that filling. Structure of arrays, reused from filling to filling.
 */
export interface Steps {
  count: number;
  seconds: Float64Array;
  waterPa: Float64Array;
  vapourPa: Float64Array;
  ethanolPa: Float64Array;
  nodeOffset: Int32Array;
  nodeShare: Float64Array;
  /** °C above the reference */
  warmth: Float64Array;
  /** share of the steady rate reached, mean over the step */
  lag: Float64Array;
  /** how far the wall's own flux follows its drive in the step, 0 to 1, and how much of what it
   * was the step's mean still holds; a step with the first but no seconds only warms the wall up */
  follow: Float64Array;
  keep: Float64Array;
  /** share of all soakage that happens in the step */
  soak: Float64Array;
  /** years since the step before (middle to middle), for the drift of the rate */
  drift: Float64Array;
  firstDay: Float64Array;
  lastDay: Float64Array;
  /** known changes of ln k_w, ln k_e and humidity since filling, by moves */
  shiftWater: Float64Array;
  shiftEthanol: Float64Array;
  shiftHumidity: Float64Array;
  /** share of the step the zone's own logger saw */
  logged: Float64Array;
  /** what is recorded at the end of the step (−1: nothing), before its event */
  mark: Int32Array;
  /** −1 nothing, else index into the plan's liquid events */
  event: Int32Array;
}

export function createSteps(capacity = 1024): Steps {
  const f = (): Float64Array => new Float64Array(capacity);
  return {
    count: 0,
    seconds: f(),
    waterPa: f(),
    vapourPa: f(),
    ethanolPa: f(),
    nodeOffset: new Int32Array(capacity),
    nodeShare: f(),
    warmth: f(),
    lag: f(),
    follow: f(),
    keep: f(),
    soak: f(),
    drift: f(),
    firstDay: f(),
    lastDay: f(),
    shiftWater: f(),
    shiftEthanol: f(),
    shiftHumidity: f(),
    logged: f(),
    mark: new Int32Array(capacity),
    event: new Int32Array(capacity),
  };
}

/** Liquid put in or taken out at the end of a step. */
export interface LiquidEvent {
  day: number;
  /** litres taken out as they stand; 0 for a top-up */
  drawnLitres: number;
  ethanolKg: number;
  waterKg: number;
}

/** A stay in one zone, from a day on. */
export interface Stay {
  fromDay: number;
  drives: Drives;
  shift: readonly [number, number, number];
}

export interface PlanRequest {
  /** first and last day of the plan */
  fromDay: number;
  toDay: number;
  /** day the liquid came into this wood: lag, soakage and drift count from here */
  filledDay: number;
  stays: readonly Stay[];
  events: readonly LiquidEvent[];
  /** ascending days at which the content is wanted; may equal fromDay (then use `initialMarks`) */
  marks: readonly number[];
}

const lagPrimitive = (days: number): number => LAG_DAYS * Math.exp(-days / LAG_DAYS);

const followOver = (days: number): number => 1 - Math.exp(-days / LAG_DAYS);
const FOLLOW = Float64Array.from({ length: 32 }, (_, days) => followOver(days));
/** age from which neither start-up nor soakage is left to speak of (1e-9), days */
const OLD_DAYS = 20 * LAG_DAYS;

function grow(steps: Steps, needed: number): void {
  if (steps.seconds.length >= needed) return;
  const bigger = createSteps(needed * 2);
  for (const key of Object.keys(bigger) as (keyof Steps)[]) {
    if (key === 'count') continue;
    (bigger[key] as Float64Array).set(steps[key]);
  }
  Object.assign(steps, { ...bigger, count: steps.count });
}

/** Appends a step within a month in the zone of `stay`; returns its middle in years since filling. */
function addStep(
  steps: Steps,
  month: number,
  from: number,
  to: number,
  stay: Stay,
  filledDay: number,
  middleBefore: number,
): number {
  grow(steps, steps.count + 1);
  const i = steps.count++;
  const d = stay.drives;
  const k = month - d.firstMonth;
  const measured = k >= 0 && k < d.count;
  const source = measured ? d : d.typical;
  const j = measured ? k : ((month % 12) + 12) % 12;
  const a = from - filledDay;
  const b = to - filledDay;
  const empty = to === from;
  const middle = empty ? middleBefore : (a + b) / 2 / 365.25;
  steps.seconds[i] = (to - from) * 86400;
  steps.waterPa[i] = source.waterPa[j]!;
  steps.vapourPa[i] = source.vapourPa[j]!;
  steps.ethanolPa[i] = source.ethanolPa[j]!;
  steps.nodeOffset[i] = source.nodeOffset[j]!;
  steps.nodeShare[i] = source.nodeShare[j]!;
  steps.warmth[i] = source.celsius[j]! - REFERENCE_C;
  const follow = FOLLOW[to - from] ?? followOver(to - from);
  steps.follow[i] = follow;
  steps.keep[i] = empty ? 0 : (follow * LAG_DAYS) / (to - from);
  const old = a > OLD_DAYS;
  steps.lag[i] =
    empty || old ? 1 : 1 - ((1 - LAG_START_SHARE) * (lagPrimitive(a) - lagPrimitive(b))) / (b - a);
  steps.soak[i] = old ? 0 : Math.exp(-a / SOAK_DAYS) - Math.exp(-b / SOAK_DAYS);
  steps.drift[i] = middle - middleBefore;
  steps.firstDay[i] = from;
  steps.lastDay[i] = to;
  steps.shiftWater[i] = stay.shift[0];
  steps.shiftEthanol[i] = stay.shift[1];
  steps.shiftHumidity[i] = stay.shift[2];
  steps.logged[i] = measured ? d.logged[j]! : 0;
  steps.mark[i] = -1;
  steps.event[i] = -1;
  return middle;
}

/**
 * Lays the plan out. Returns how many of the marks fall on or before the first day itself: those
 * are the initial content. A mark is taken before the events of its day.
 */
export function planSteps(steps: Steps, plan: PlanRequest): number {
  const { marks, events, stays, filledDay } = plan;
  steps.count = 0;
  let day = plan.fromDay;
  let mark = 0;
  let event = 0;
  let stay = 0;
  // from the filling on, so that a plan that begins later still carries the drift of its past
  let middle = 0;
  let month = monthIndexOfDay(day);
  let monthEnd = firstDayOfMonth(month + 1);
  while (mark < marks.length && marks[mark]! <= day) mark++;
  const initialMarks = mark;
  if (day > filledDay) warmUp(steps, plan);
  for (;;) {
    if (day >= monthEnd) monthEnd = firstDayOfMonth(++month + 1);
    while (event < events.length && events[event]!.day <= day) {
      // a second event of one day rides on a step of no length
      if (
        steps.count === 0 ||
        steps.event[steps.count - 1] !== -1 ||
        steps.lastDay[steps.count - 1]! < day
      ) {
        middle = addStep(steps, month, day, day, stays[stay]!, filledDay, middle);
      }
      steps.event[steps.count - 1] = event++;
    }
    if (day >= plan.toDay) return initialMarks;
    while (stay + 1 < stays.length && stays[stay + 1]!.fromDay <= day) stay++;
    let next = Math.min(plan.toDay, monthEnd);
    if (mark < marks.length) next = Math.min(next, marks[mark]!);
    if (event < events.length) next = Math.min(next, events[event]!.day);
    if (stay + 1 < stays.length) next = Math.min(next, stays[stay + 1]!.fromDay);
    middle = addStep(steps, month, day, next, stays[stay]!, filledDay, middle);
    if (marks[mark] === next) steps.mark[steps.count - 1] = mark++;
    day = next;
  }
}

/** days before a plan's start over which the wall is brought to its season */
const WARM_UP_DAYS = 240;

/** Steps without loss through the months before a plan that begins long after the filling. */
function warmUp(steps: Steps, plan: PlanRequest): void {
  const stay = plan.stays[0]!;
  let day = Math.max(plan.filledDay, plan.fromDay - WARM_UP_DAYS);
  while (day < plan.fromDay) {
    const month = monthIndexOfDay(day);
    const next = Math.min(plan.fromDay, firstDayOfMonth(month + 1));
    addStep(steps, month, day, next, stay, plan.filledDay, 0);
    const i = steps.count - 1;
    steps.seconds[i] = 0;
    steps.soak[i] = 0;
    steps.drift[i] = 0;
    day = next;
  }
}

/** days a merged step spans at most in the first year of a plan, and later */
const LONGEST_EARLY = 92;
const LONGEST_LATE = 366;

/**
 * The same plan in fewer, longer steps, with means of the driving terms, for derivatives and spreads:
 * some 30 steps for 20 years. `kept` tells for each mark of the fine plan which mark of the merged
 * one it is, −1 for none. Plans with events are not merged.
 */
export function mergeSteps(fine: Steps, into: Steps, kept: ArrayLike<number>): void {
  into.count = 0;
  let from = 0;
  // of the steps that only warm the wall up, the last is enough
  while (from < fine.count && fine.seconds[from] === 0) from++;
  if (from > 0) putMerged(fine, into, from - 1, from, -1);
  const begin = fine.firstDay[from] ?? 0;
  for (let i = from; i < fine.count; i++) {
    const mark = fine.mark[i]! < 0 ? -1 : kept[fine.mark[i]!]!;
    const longest = fine.firstDay[i]! - begin < 365 ? LONGEST_EARLY : LONGEST_LATE;
    const full = fine.lastDay[Math.min(i + 1, fine.count - 1)]! - fine.firstDay[from]! > longest;
    if (mark < 0 && !full && i < fine.count - 1) continue;
    putMerged(fine, into, from, i + 1, mark);
    from = i + 1;
  }
}

function putMerged(fine: Steps, into: Steps, from: number, to: number, mark: number): void {
  grow(into, into.count + 1);
  const n = into.count++;
  let seconds = 0;
  let water = 0;
  let vapour = 0;
  let ethanol = 0;
  let warmth = 0;
  let lag = 0;
  let soak = 0;
  let drift = 0;
  for (let i = from; i < to; i++) {
    const w = fine.seconds[i]! || 1;
    seconds += w;
    water += w * fine.waterPa[i]!;
    vapour += w * fine.vapourPa[i]!;
    ethanol += w * fine.ethanolPa[i]!;
    warmth += w * fine.warmth[i]!;
    lag += w * fine.lag[i]!;
    soak += fine.soak[i]!;
    drift += fine.drift[i]!;
  }
  const warming = fine.seconds[from] === 0;
  const node = temperatureNode(warmth / seconds + REFERENCE_C);
  const first = fine.firstDay[from]!;
  const last = fine.lastDay[to - 1]!;
  const follow = 1 - Math.exp((first - last) / LAG_DAYS);
  into.seconds[n] = warming ? 0 : seconds;
  into.waterPa[n] = water / seconds;
  into.vapourPa[n] = vapour / seconds;
  into.ethanolPa[n] = ethanol / seconds;
  into.nodeOffset[n] = node.offset;
  into.nodeShare[n] = node.share;
  into.warmth[n] = warmth / seconds;
  into.lag[n] = lag / seconds;
  into.follow[n] = follow;
  into.keep[n] = last > first ? (follow * LAG_DAYS) / (last - first) : 0;
  into.soak[n] = soak;
  into.drift[n] = drift;
  into.firstDay[n] = first;
  into.lastDay[n] = last;
  into.shiftWater[n] = fine.shiftWater[from]!;
  into.shiftEthanol[n] = fine.shiftEthanol[from]!;
  into.shiftHumidity[n] = fine.shiftHumidity[from]!;
  into.logged[n] = 0;
  into.mark[n] = mark;
  into.event[n] = -1;
}
