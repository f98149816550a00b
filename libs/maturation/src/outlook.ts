/** The way ahead of one filling, laid out once for whatever runs along it, and what stands in the cask on the way. */
import type { FillingPosterior } from './answers.ts';
import { dayNumber, isoDate } from './calendar.ts';
import { requireZone, type Drives } from './drives.ts';
import { futureLeaks } from './future-leaks.ts';
import { LEAK, THETA_AT } from './gaussian-pool.ts';
import { vesselOf, type Vessel } from './geometry.ts';
import { integrate, P_COUNT, P_LEAK, P_LEAK_FROM, P_LEAK_TO } from './integrate.ts';
import { strengthFromTable } from './linearise.ts';
import { ETHANOL_KG_PER_LITRE, litresFromTable } from './mixture-tables.ts';
import type { Estate } from './population.ts';
import { SOAK_LITRES_PER_M2, THETA_COUNT as T } from './priors.ts';
import type { LeakAtom } from './spread.ts';
import { createSteps, planSteps, type LiquidEvent, type Steps } from './steps.ts';
import type { ClimateByZone } from './types.ts';

/** quantities forecast, in this order inside */
export const BULK = 0;
export const STRENGTH = 1;
export const LPA = 2;
export const QUANTITIES = 3;

/** What any state of a filling runs through from its posterior's day on. */
export interface Stage {
  asOfDay: number;
  steps: Steps;
  /** how many of the days asked for are its own */
  initialMarks: number;
  vessel: Vessel;
  soakLitres: number;
  drives: Drives;
}

/** A forecast laid out: what is common to the components of one posterior. */
export interface Outlook extends Stage {
  days: number[];
  years: number[];
  /** laid out for a whole stock: fewer directions are tried */
  rough: boolean;
  /** filled as they are asked for: `leaksAt` */
  leaks: (readonly LeakAtom[] | undefined)[];
}

/** What leaks to come may have cost by the outlook's m-th day. */
export function leaksAt(outlook: Outlook, estate: Estate, m: number): readonly LeakAtom[] {
  return (outlook.leaks[m] ??= futureLeaks(
    estate.filter,
    outlook.vessel.capacityLitres,
    outlook.years[m]!,
  ));
}

/** @throws RangeError when a day lies before the posterior's */
export function layOutOutlook(
  posterior: FillingPosterior,
  climate: ClimateByZone,
  days: readonly number[],
): Outlook {
  const asOfDay = dayNumber(posterior.asOf);
  const ascending = days.map((day) => {
    // the posterior stands at the start of the day after the evidence: its own day is that too
    if (day < asOfDay - 1) {
      throw new RangeError(
        `filling ${posterior.fillingId}: forecast for ${isoDate(day)} lies before its latest evidence (${posterior.asOf}); draw the past with traceFilling`,
      );
    }
    return Math.max(day, asOfDay);
  });
  const distinct = [...new Set(ascending)].sort((a, b) => a - b);
  return {
    ...stageOf(posterior, climate, distinct, createSteps()),
    days: distinct,
    years: distinct.map((d) => (d - asOfDay) / 365.25),
    rough: false,
    leaks: [],
  };
}

/** Lays the way to ascending days into `steps`; none may lie before the posterior's own. */
export function stageOf(
  posterior: FillingPosterior,
  climate: ClimateByZone,
  days: readonly number[],
  steps: Steps,
): Stage {
  const asOfDay = dayNumber(posterior.asOf);
  const drives = requireZone(climate, posterior.zoneId);
  const vessel = vesselOf(posterior.caskKind);
  const initialMarks = planSteps(steps, {
    fromDay: asOfDay,
    toDay: days.at(-1) ?? asOfDay,
    filledDay: dayNumber(posterior.filledOn),
    stays: [{ fromDay: asOfDay, drives, shift: [0, 0, 0] }],
    events: [],
    marks: days,
  });
  const perM2 =
    posterior.caskKind.fillNumber <= 1 ? SOAK_LITRES_PER_M2.first : SOAK_LITRES_PER_M2.later;
  return {
    asOfDay,
    steps,
    initialMarks,
    vessel,
    soakLitres: perM2 * vessel.innerAreaM2,
    drives,
  };
}

const parameters = new Float64Array(P_COUNT);

const NO_EVENTS: readonly LiquidEvent[] = [];

/** Runs a state to the days asked for: (ethanol, water) kg at each into `out`. */
export function runState(stage: Stage, state: ArrayLike<number>, out: Float64Array): void {
  parameters.fill(0);
  for (let k = 0; k < THETA_AT + T; k++) parameters[k] = state[k]!;
  if (parameters[0]! < 0) parameters[0] = 0;
  if (parameters[1]! < 0) parameters[1] = 0;
  parameters[P_LEAK] = Math.max(0, state[LEAK]!);
  parameters[P_LEAK_FROM] = -Infinity;
  parameters[P_LEAK_TO] = Infinity;
  for (let m = 0; m < stage.initialMarks; m++) {
    out[m * 2] = parameters[0]!;
    out[m * 2 + 1] = parameters[1]!;
  }
  integrate(stage.steps, stage.vessel, stage.soakLitres, NO_EVENTS, parameters, out, 0);
}

export function quantitiesAt(e: number, w: number, into: Float64Array, at: number): void {
  const litres = litresFromTable(e, w);
  into[at + BULK] = litres;
  into[at + STRENGTH] = strengthFromTable(e, litres);
  into[at + LPA] = e / ETHANOL_KG_PER_LITRE;
}
