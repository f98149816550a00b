import { ONSETS } from './filter-model.ts';
import { createPool, N, type Pool } from './gaussian-pool.ts';
import { emptyGauged, type Gauged } from './linearise.ts';

/** How far the filter looks for explanations. */
export interface FilterEffort {
  /** most hypotheses alive */
  live: number;
  /** one this much less likely than the best is let go (natural logarithm) */
  dropBelow: number;
  /** a reading this near to what was expected (squared distance) asks for no leak or withdrawal */
  nearEnough: number;
}

/** For learning the estate, pass after pass. */
export const QUICK: FilterEffort = { live: 8, dropBelow: 7, nearEnough: 2.5 };
/** For what is believed of a single cask. */
export const THOROUGH: FilterEffort = { live: 20, dropBelow: 9, nearEnough: 0.7 };

export const MAX_LIVE = 24;
const MAX_CANDIDATES = 4096;

/** Effect of the time between two readings on the content. */
export interface Interval {
  fromDay: number;
  toDay: number;
  years: number;
  /** rows of the transition for ethanol and water, by state */
  toEthanol: Float64Array;
  toWater: Float64Array;
  noiseEE: number;
  noiseEW: number;
  noiseWW: number;
  /** shares of the interval at which a leak may begin or stop */
  onsets: readonly number[];
  /** kg of ethanol and water in a litre of content */
  ethanolPerLitre: number;
  waterPerLitre: number;
}

/** Departure of a reading from what a hypothesis expects, with its covariance, noise included. */
export interface Innovation {
  dv: number;
  ds: number;
  vv: number;
  vs: number;
  ss: number;
}

/** Scratch for one filter run after another: nothing is allocated while it works. */
export interface FilterWorkspace {
  live: Pool;
  spare: Pool;
  liveCount: number;
  interval: Interval;
  gauged: Gauged;
  innovation: Innovation;
  /** candidates for the reading at hand */
  candidates: number;
  parent: Int32Array;
  choice: Int32Array;
  weight: Float64Array;
}

export function createFilterWorkspace(): FilterWorkspace {
  return {
    live: createPool(MAX_LIVE, 16),
    spare: createPool(MAX_LIVE, 16),
    liveCount: 0,
    interval: {
      fromDay: 0,
      toDay: 0,
      years: 0,
      toEthanol: new Float64Array(N),
      toWater: new Float64Array(N),
      noiseEE: 0,
      noiseEW: 0,
      noiseWW: 0,
      onsets: ONSETS,
      ethanolPerLitre: 0,
      waterPerLitre: 0,
    },
    gauged: emptyGauged(),
    innovation: { dv: 0, ds: 0, vv: 0, vs: 0, ss: 0 },
    candidates: 0,
    parent: new Int32Array(MAX_CANDIDATES),
    choice: new Int32Array(MAX_CANDIDATES),
    weight: new Float64Array(MAX_CANDIDATES),
  };
}

/** Notes a candidate; beyond the room for them the rest is let go. */
export function propose(
  ws: FilterWorkspace,
  parent: number,
  choice: number,
  logWeight: number,
): void {
  const i = ws.candidates;
  if (i >= MAX_CANDIDATES) return;
  ws.parent[i] = parent;
  ws.choice[i] = choice;
  ws.weight[i] = logWeight;
  ws.candidates = i + 1;
}

/** Makes room for segments with many readings. */
export function ensureReadings(ws: FilterWorkspace, readings: number): void {
  if (ws.live.readings >= readings) return;
  ws.live = createPool(MAX_LIVE, readings * 2);
  ws.spare = createPool(MAX_LIVE, readings * 2);
}
