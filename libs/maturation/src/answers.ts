import type { CaskKind, FillingHistory, Quantiles } from './types.ts';

/** What the estate's regauges taught about the estate as a whole. Survives JSON. */
export interface Population {
  /** format of this object; a reader refuses one it does not know */
  version: number;
  fillings: number;
  regauges: number;
  /** named coefficients with their standard error, for showing and for sharding */
  effects: PopulationEffect[];
  /** numbers the forecast uses, by name; documented in README.md */
  parameters: Record<string, number>;
  /** the solved hierarchy, for `updateFilling` and forecasts; not meant for reading */
  hierarchy: Hierarchy;
  status: 'converged' | 'iteration-limit' | 'stopped' | 'priors-only';
  iterations: number;
}

export interface PopulationEffect {
  name: string;
  quantity: string;
  estimate: number;
  standardError: number;
  prior: number;
}

export interface Hierarchy {
  groups: string[];
  beta: number[];
  /** lower triangles by rows, here and below */
  covariance: number[];
  cask: number[];
  lotVariance: number[];
  lots: {
    name: string;
    members: number;
    inverse: number[];
    own: number[];
    /** [position, value] of what is not nought */
    lean: [number, number][];
  }[];
}

/** One explanation of a filling's readings: a Gaussian with its weight. */
export interface PosteriorComponent {
  weight: number;
  /** ethanol kg, water kg, the seven of THETA, dip bias L, leak L a year (README.md, State) */
  mean: number[];
  /** lower triangle by rows */
  covariance: number[];
  /** fill and soakage as this explanation has them, for drawing the past */
  history: { fillEthanolKg: number; fillWaterKg: number; indrinkLitres: number };
  leak: { startedOn: string; stoppedOn?: string; litresPerYear: number } | null;
  /** litres gone at one go, and how likely a leak that stopped took them */
  step: { on: string; litres: number; leakShare: number } | null;
  blunders: string[];
}

/** Everything believed about one filling after its latest evidence. Survives JSON. */
export interface FillingPosterior {
  fillingId: string;
  /** day of the latest evidence; forecasts start here */
  asOf: string;
  /** day the liquid came into the present wood */
  filledOn: string;
  zoneId: string;
  floor: number | null;
  caskKind: CaskKind;
  components: PosteriorComponent[];
  regauges: RegaugeBelief[];
  leak: LeakBelief;
  /** this cask's own say in its groups' means, so that it is not counted twice when refitted */
  evidence: { information: number[]; vector: number[] } | null;
}

export interface RegaugeBelief {
  on: string;
  /** position in `filling.regauges` */
  index: number;
  /** probability that the record is a blunder */
  blunderProbability: number;
}

export interface LeakBelief {
  /** probability that the cask has leaked since filling */
  probability: number;
  /** probability that it leaks now */
  runningProbability: number;
  /** given a leak: litres lost to it so far */
  litresLost: Quantiles | null;
  litresPerYear: Quantiles | null;
  /** given a leak: between which days it began, with the likeliest */
  since: { from: string; to: string; likeliest: string } | null;
}

export interface Calibration {
  version: number;
  population: Population;
  posteriors: Record<string, FillingPosterior>;
}

/** Verdict on a reading that has just arrived. */
export interface RegaugeAssessment {
  expected: { bulk: Quantiles; strength: Quantiles; lpa: Quantiles };
  /** standardised departures from what was expected */
  z: { bulk: number; strength: number };
  verdict: 'as-expected' | 'possible-blunder' | 'possible-leak';
  /** how sure: probability of the verdict */
  probability: number;
  probabilities: { asExpected: number; blunder: number; leak: number; unloggedWithdrawal: number };
  /** for a leak: since when */
  since?: { from: string; to: string; likeliest: string };
  /** the filling's posterior with the reading taken in */
  posterior: FillingPosterior;
}

export interface SetForecastPoint {
  date: string;
  fillings: number;
  bulk: Quantiles;
  lpa: Quantiles;
  /** of the set vatted together */
  strength: Quantiles;
  /** standard deviation of the LPA sum if nothing were shared, beside the true one */
  sdLpaIfIndependent: number;
  sdLpa: number;
}

/** A date that may never come: quantiles are null where it has not come by the horizon. */
export interface Crossing {
  /** probability that it has happened by each date asked */
  byDate: { date: string; probability: number }[];
  q05: string | null;
  q10: string | null;
  q50: string | null;
  q90: string | null;
  q95: string | null;
  /** probability that it has not happened by the horizon */
  probabilityNever: number;
}

export interface LossSplit {
  from: string;
  to: string;
  /** each cause in litres at 20 °C, LPA, and kilograms; positive = lost */
  causes: {
    cause:
      | 'soakage'
      | 'evaporation-ethanol'
      | 'evaporation-water'
      | 'leak'
      | 'withdrawals'
      | 'top-ups'
      | 'gauge-difference';
    ethanolKg: number;
    waterKg: number;
    bulkLitresAt20C: number;
    litresPureAlcohol: number;
  }[];
  total: { bulkLitresAt20C: number; litresPureAlcohol: number };
}

export interface RegaugeAdvice {
  fillingId: string;
  /** standard deviation of the set's LPA before and after opening this and all above it */
  sdBefore: number;
  sdAfter: number;
  /** litres of pure alcohol of doubt removed by this cask */
  gain: number;
  reason: 'suspected-leak' | 'doubtful-reading' | 'never-regauged' | 'long-ago' | 'large-loss';
}

/** A change to try: any of them together. */
export interface WhatIf {
  name: string;
  on: string;
  toZoneId?: string;
  toFloor?: number;
  toCask?: CaskKind;
}

export interface WoodContact {
  date: string;
  /** index by group of compounds and together; 1 = one year of a first-fill 200 L cask at 15 °C */
  fast: number;
  slow: number;
  index: number;
}

/** A filling with its posterior: what set questions are asked of. */
export interface FillingWithPosterior {
  filling: FillingHistory;
  posterior: FillingPosterior;
}
