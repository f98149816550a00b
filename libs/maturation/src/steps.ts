import { firstDayOfMonth, monthIndexOfDay } from './calendar.ts';
import type { Drives } from './drives.ts';
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

function grow(steps: Steps, needed: number): void {
  if (steps.seconds.length >= needed) return;
  const bigger = createSteps(needed * 2);
  for (const key of Object.keys(bigger) as (keyof Steps)[]) {
    if (key === 'count') continue;
    (bigger[key] as Float64Array).set(steps[key]);
  }
  Object.assign(steps, { ...bigger, count: steps.count });
}

/** Appends a step in the zone of `stay`; returns the middle of the step in years since filling. */
function addStep(
  steps: Steps,
  from: number,
  to: number,
  stay: Stay,
  filledDay: number,
  middleBefore: number,
): number {
  grow(steps, steps.count + 1);
  const i = steps.count++;
  const d = stay.drives;
  const month = monthIndexOfDay(from);
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
  const follow = 1 - Math.exp((from - to) / LAG_DAYS);
  steps.follow[i] = follow;
  steps.keep[i] = empty ? 0 : (follow * LAG_DAYS) / (to - from);
  steps.lag[i] = empty
    ? 1
    : 1 - ((1 - LAG_START_SHARE) * (lagPrimitive(a) - lagPrimitive(b))) / (b - a);
  steps.soak[i] = Math.exp(-a / SOAK_DAYS) - Math.exp(-b / SOAK_DAYS);
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
  while (mark < marks.length && marks[mark]! <= day) mark++;
  const initialMarks = mark;
  if (day > filledDay) warmUp(steps, plan);
  for (;;) {
    while (event < events.length && events[event]!.day <= day) {
      // a second event of one day rides on a step of no length
      if (
        steps.count === 0 ||
        steps.event[steps.count - 1] !== -1 ||
        steps.lastDay[steps.count - 1]! < day
      ) {
        middle = addStep(steps, day, day, stays[stay]!, filledDay, middle);
      }
      steps.event[steps.count - 1] = event++;
    }
    if (day >= plan.toDay) return initialMarks;
    while (stay + 1 < stays.length && stays[stay + 1]!.fromDay <= day) stay++;
    let next = Math.min(plan.toDay, firstDayOfMonth(monthIndexOfDay(day) + 1));
    if (mark < marks.length) next = Math.min(next, marks[mark]!);
    if (event < events.length) next = Math.min(next, events[event]!.day);
    if (stay + 1 < stays.length) next = Math.min(next, stays[stay + 1]!.fromDay);
    middle = addStep(steps, day, next, stays[stay]!, filledDay, middle);
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
    const next = Math.min(plan.fromDay, firstDayOfMonth(monthIndexOfDay(day) + 1));
    addStep(steps, day, next, stay, plan.filledDay, 0);
    const i = steps.count - 1;
    steps.seconds[i] = 0;
    steps.soak[i] = 0;
    steps.drift[i] = 0;
    day = next;
  }
}
