import {
  BLUNDER_SHARE,
  DIP_BIAS_SHARE,
  LEAK_LITRES_PER_YEAR,
  LEAK_LN_SD,
  LEAK_STOPS_PER_YEAR,
  LEAKS_PER_YEAR,
  UNLOGGED_LITRES_PER_YEAR,
  UNLOGGED_SQUARES_PER_YEAR,
  UNLOGGED_STEPS_PER_YEAR,
  YEAR_SD,
} from './priors.ts';

/** Rates and spreads of what goes wrong; the estate's own once there is enough of it. */
export interface FilterModel {
  blunderShare: number;
  leaksPerYear: number;
  leakLitresPerYear: number;
  leakLnSd: number;
  leakStopsPerYear: number;
  stepsPerYear: number;
  yearSd: number;
  dipBiasShare: number;
  /** standard uncertainties of dips and strengths as found, over those stated */
  dipScale: number;
  strengthScale: number;
  /** litres, and litres², a year that leave as samples nobody wrote down */
  unloggedLitresPerYear: number;
  unloggedSquaresPerYear: number;
  /** what any reading of the estate looks like: the likely figures of a wrong cask */
  meanStrength: number;
  sdStrength: number;
}

export const DEFAULT_FILTER_MODEL: FilterModel = {
  blunderShare: BLUNDER_SHARE,
  leaksPerYear: LEAKS_PER_YEAR,
  leakLitresPerYear: LEAK_LITRES_PER_YEAR,
  leakLnSd: LEAK_LN_SD,
  leakStopsPerYear: LEAK_STOPS_PER_YEAR,
  stepsPerYear: UNLOGGED_STEPS_PER_YEAR,
  yearSd: YEAR_SD,
  dipBiasShare: DIP_BIAS_SHARE,
  dipScale: 1,
  strengthScale: 1,
  unloggedLitresPerYear: UNLOGGED_LITRES_PER_YEAR,
  unloggedSquaresPerYear: UNLOGGED_SQUARES_PER_YEAR,
  meanStrength: 60,
  sdStrength: 5,
};

/** How a reading may have come about. */
export const GOOD = 0;
export const OTHER_CASK = 1;
export const LITRES_WRONG = 2;
export const STRENGTH_WRONG = 3;
export const UNCORRECTED = 4;
export const COPIED = 5;
/** taken carelessly: scatters wider, but is no blunder */
export const SLOPPY = 6;
export const KINDS = 7;
export const isBlunder = (kind: number): boolean => kind !== GOOD && kind !== SLOPPY;
/** Shares of the kinds among blunders (common practice, no published source). */
export const KIND_SHARE: readonly number[] = [0, 0.3, 0.25, 0.15, 0.2, 0.1, 0];

/** What may have happened between two readings. */
export const NOTHING = 0;
export const LEAK_STARTS = 1;
export const LEAK_STOPS = 2;
export const STEP = 3;

/** Onsets tried inside an interval, as shares of it. */
export const ONSETS: readonly number[] = [1 / 6, 1 / 2, 5 / 6];
/** Leak rates tried: steps of ln rate about the median in units of its spread, with weights. */
export const LEAK_LEVELS: readonly number[] = [-2, -1.35, -0.7, 0, 0.7, 1.35, 2];
export const LEAK_LEVEL_SHARE: readonly number[] = normalised(
  LEAK_LEVELS.map((x) => Math.exp((-x * x) / 2)),
);
/** Spread of the rate within one level, relative. */
export const LEVEL_SPREAD = 0.3;
/** Litres lost at one go that are tried, from a 200 L cask. */
export const STEP_LITRES: readonly number[] = [4, 7, 13, 24, 45, 85];
export const STEP_SHARE: readonly number[] = normalised([1, 1.4, 1.4, 1, 0.6, 0.3]);

/** Leaks that begin and end between two readings `years` apart, per reading. */
export const briefLeakChance = (model: FilterModel, years: number): number =>
  model.leaksPerYear * years * (1 - Math.exp(-model.leakStopsPerYear * years * 0.5));

/** How likely a loss at one go was a leak that stopped, not a withdrawal nobody wrote down. */
export const leakShareOfStep = (model: FilterModel, years: number): number => {
  const leak = briefLeakChance(model, years);
  return leak / (leak + model.stepsPerYear * years);
};

function normalised(weights: number[]): number[] {
  const total = weights.reduce((a, b) => a + b, 0);
  return weights.map((w) => w / total);
}
