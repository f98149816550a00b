import { integrate, P_COUNT } from './integrate.ts';
import { litresFromTable, ETHANOL_KG_PER_LITRE } from './mixture-tables.ts';
import { THETA_COUNT } from './priors.ts';
import type { Segment } from './segments.ts';
import { createSteps, planSteps, type Steps } from './steps.ts';

/** Columns of a sensitivity: starting ethanol, starting water, then THETA. */
export const COLUMNS = 2 + THETA_COUNT;

/** A segment's nominal course and its derivatives at each mark. Buffers are reused. */
export interface Linearisation {
  steps: Steps;
  marks: number[];
  initialMarks: number;
  /** [mark][ethanol, water] */
  nominal: Float64Array;
  /** [mark][row 0 ethanol, row 1 water][COLUMNS] */
  sensitivity: Float64Array;
  trial: Float64Array;
  parameters: Float64Array;
}

export function createLinearisation(): Linearisation {
  return {
    steps: createSteps(),
    marks: [],
    initialMarks: 0,
    nominal: new Float64Array(128),
    sensitivity: new Float64Array(64 * 2 * COLUMNS),
    trial: new Float64Array(128),
    parameters: new Float64Array(P_COUNT),
  };
}

/** Differences for the derivative: small against what is doubted, large against rounding. */
const NUDGE = [0.02, 0.02, 1e-3, 1e-3, 1e-3, 1e-4, 0.01, 0.01, 0.01, 0.02, 1e-3] as const;

/** Lays out the segment's plan with marks on the given ascending, distinct days. */
export function layOut(
  into: Linearisation,
  segment: Segment,
  marks: number[],
  toDay: number,
): void {
  into.marks = marks;
  if (into.nominal.length < marks.length * 2) {
    into.nominal = new Float64Array(marks.length * 4);
    into.trial = new Float64Array(marks.length * 4);
    into.sensitivity = new Float64Array(marks.length * 4 * COLUMNS);
  }
  into.initialMarks = planSteps(into.steps, {
    fromDay: segment.fromDay,
    toDay,
    filledDay: segment.fromDay,
    stays: segment.stays,
    events: segment.events,
    marks,
  });
}

/** Runs the nominal course of `into.parameters` and its derivatives. */
export function linearise(into: Linearisation, segment: Segment): void {
  const { steps, parameters, nominal, trial, sensitivity, marks } = into;
  const run = (out: Float64Array): void => {
    for (let m = 0; m < into.initialMarks; m++) {
      out[m * 2] = parameters[0]!;
      out[m * 2 + 1] = parameters[1]!;
    }
    integrate(steps, segment.vessel, segment.soakLitres, segment.events, parameters, out, 0);
  };
  run(nominal);
  for (let c = 0; c < COLUMNS; c++) {
    const nudge = NUDGE[c]!;
    const before = parameters[c]!;
    parameters[c] = before + nudge;
    run(trial);
    parameters[c] = before;
    for (let m = 0; m < marks.length; m++) {
      const at = m * 2 * COLUMNS + c;
      sensitivity[at] = (trial[m * 2]! - nominal[m * 2]!) / nudge;
      sensitivity[at + COLUMNS] = (trial[m * 2 + 1]! - nominal[m * 2 + 1]!) / nudge;
    }
  }
}

/** Litres and % vol of a content with their slopes by ethanol and water kg. */
export interface Gauged {
  litres: number;
  strength: number;
  litresByEthanol: number;
  litresByWater: number;
  strengthByEthanol: number;
  strengthByWater: number;
}

/** Nothing yet, to be filled by {@link gaugeContent} again and again. */
export const emptyGauged = (): Gauged => ({
  litres: 0,
  strength: 0,
  litresByEthanol: 0,
  litresByWater: 0,
  strengthByEthanol: 0,
  strengthByWater: 0,
});

export function strengthFromTable(ethanolKg: number, litres: number): number {
  return litres > 0 ? Math.min(100, (100 * ethanolKg) / (ETHANOL_KG_PER_LITRE * litres)) : 0;
}

/** Fills `into` from a content; an empty cask has slopes of pure dilution and no strength. */
export function gaugeContent(ethanolKg: number, waterKg: number, into: Gauged): void {
  const e = Math.max(ethanolKg, 1e-6);
  const w = Math.max(waterKg, 1e-6);
  const h = 1e-3 * (e + w);
  const litres = litresFromTable(e, w);
  const strength = strengthFromTable(e, litres);
  const byE = (litresFromTable(e + h, w) - litresFromTable(e, w)) / h;
  const byW = (litresFromTable(e, w + h) - litresFromTable(e, w)) / h;
  into.litres = litres;
  into.strength = strength;
  into.litresByEthanol = byE;
  into.litresByWater = byW;
  into.strengthByEthanol = strength * (1 / e - byE / litres);
  into.strengthByWater = (-strength * byW) / litres;
}
