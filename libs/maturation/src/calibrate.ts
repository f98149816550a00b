import type { Calibration, FillingPosterior, Population } from './answers.ts';
import { countMishaps, evidenceOf, noMishaps, type Mishaps } from './evidence.ts';
import { DEFAULT_FILTER_MODEL } from './filter-model.ts';
import { QUICK } from './filter-workspace.ts';
import {
  createFitWorkspace,
  endContent,
  memberOf,
  moveStar,
  refreshShifts,
  runFilter,
  segmentPrior,
  startFromFill,
  type FitWorkspace,
  type SegmentFit,
} from './fit.ts';
import { evenly, tuneNoise, type TuningCase } from './noise-tuning.ts';
import { solveMixedModel, updateLotVariance } from './mixed-model.ts';
import {
  caskPrior,
  describePopulation,
  priorCaskCovariance,
  priorEstate,
  type Estate,
} from './population.ts';
import { posteriorOf } from './posterior.ts';
import {
  CASK_SD,
  LEAK_LITRES_PER_YEAR,
  THETA_COUNT as T,
  UNLOGGED_LITRES_PER_YEAR,
  UNLOGGED_SHARE,
  UNLOGGED_SQUARES_PER_YEAR,
} from './priors.ts';
import { prepareFilling, type PreparedFilling } from './segments.ts';
import type { ClimateByZone, FillingHistory, Progress } from './types.ts';

export interface CalibrateOptions {
  onProgress?: (progress: Progress) => void;
  /** asked between fillings; true ends the work with what has been reached */
  shouldStop?: () => boolean;
  /** passes over all fillings, at most; default 24 */
  passes?: number;
  /** leave posteriors out (a shard computes its own with `updateFilling`) */
  populationOnly?: boolean;
}

interface Unit {
  prepared: PreparedFilling;
  fits: SegmentFit[];
}

/** fillings from which spreads and rates are learnt; means hear all of them */
const MOST_IN_SAMPLE = 800;
/** passes over all fillings of an estate larger than that */
const WHOLE_PASSES = 2;
/** passes after which the noise is left as it is */
const LAST_TUNED = 9;
/** how far the site's means may still stand from where the pass's evidence draws them, in their own standard
 * errors, and the logarithms of spreads' variances from theirs, to count as settled */
const SETTLED_WITHIN = 0.2;
/** from this pass on means go part of the way only: humidity and the water rate else swing about each other */
const DAMPED_FROM = 3;
const FIRST_STEP = 0.5;
const LEAST_STEP = 0.2;
/** what a pass that turned back leaves of the step */
const AFTER_TURNING = 0.6;
const TELL_EVERY = 50;

/** casks' worth of belief in the prior spreads, by component */
const SPREAD_WEIGHT: readonly number[] = [10, 10, 25, 40, 15, 0, 0, 0, 0];

/**
 * Learns the estate from all its regauges: means and spreads of every group, rates of leaks and
 * blunders, and the posterior of every filling. Deterministic.
 *
 * @throws RangeError for impossible figures or a zone without climate; names filling and value
 */
export function calibrate(
  fillings: readonly FillingHistory[],
  climate: ClimateByZone,
  options: CalibrateOptions = {},
): Calibration {
  const { onProgress, shouldStop, passes = 24 } = options;
  const units = fillings.map((f) => toUnit(prepareFilling(f, climate)));
  const groups = new Set<string>(['site']);
  for (const u of units) {
    for (const fit of u.fits) {
      for (const g of fit.member.groups) groups.add(g);
      for (const stay of fit.segment.placeGroups) for (const g of stay) groups.add(g);
    }
  }
  const estate = priorEstate(groups);
  Object.assign(estate.filter, unloggedDraws(fillings, units));
  const ws = createFitWorkspace();
  const informative = units.filter((u) => u.fits.some((f) => f.segment.readings.length > 0));
  let status: Population['status'] = informative.length === 0 ? 'priors-only' : 'iteration-limit';
  let iterations = 0;
  let stopped = false;
  for (const u of units) for (const f of u.fits) f.star.set(caskPrior(estate, f.member).mean);
  // spreads and rates of mishaps settle on a share of a large estate; every group then hears all
  const sample = evenly(informative, MOST_IN_SAMPLE);
  const whole = informative.length > sample.length ? WHOLE_PASSES : 0;
  const work = { done: 0, all: passes * sample.length + whole * informative.length + units.length };
  const tell = (phase: string): boolean => {
    onProgress?.({ phase, share: Math.min(1, work.done / work.all) });
    return shouldStop?.() ?? false;
  };
  const stride: Stride = { step: 1, before: [] };
  while (sample.length > 0 && iterations < passes) {
    if (iterations === DAMPED_FROM) stride.step = FIRST_STEP;
    const gap = pass(ws, estate, sample, iterations, stride, work, () => tell('calibrating'));
    if (gap === null) {
      stopped = true;
      break;
    }
    iterations++;
    if (iterations > DAMPED_FROM && gap < SETTLED_WITHIN) {
      status = 'converged';
      break;
    }
  }
  for (let i = 0; i < whole && !stopped; i++) {
    const tellAll = (): boolean => tell('all fillings');
    stopped = pass(ws, estate, informative, LAST_TUNED, stride, work, tellAll) === null;
  }
  if (stopped) status = 'stopped';
  const regauges = fillings.reduce((sum, f) => sum + f.regauges.length, 0);
  const population = describePopulation(estate, {
    fillings: fillings.length,
    regauges,
    status,
    iterations,
  });
  const posteriors: Record<string, FillingPosterior> = {};
  if (!options.populationOnly) {
    for (const u of units) {
      posteriors[u.prepared.id] = posteriorOf(ws, estate, u.prepared, u.fits);
      work.done++;
      if (work.done % TELL_EVERY === 0) tell('posteriors');
    }
  }
  onProgress?.({ phase: 'done', share: 1 });
  return { version: 1, population, posteriors };
}

/** small withdrawals, the kind that is forgotten, litres */
const SMALL_DRAW = 4;

/** What leaves unseen, from how often and how much is drawn and written down. */
function unloggedDraws(
  fillings: readonly FillingHistory[],
  units: readonly Unit[],
): Pick<Estate['filter'], 'unloggedLitresPerYear' | 'unloggedSquaresPerYear'> {
  let years = 20;
  let litres = (20 * UNLOGGED_LITRES_PER_YEAR) / UNLOGGED_SHARE;
  let squares = (20 * UNLOGGED_SQUARES_PER_YEAR) / UNLOGGED_SHARE;
  fillings.forEach((f, i) => {
    const { segments, asOfDay } = units[i]!.prepared;
    years += (asOfDay - segments[0]!.fromDay) / 365.25;
    for (const e of f.events) {
      if (e.kind !== 'withdrawal' || e.bulkLitresAt20C > SMALL_DRAW) continue;
      litres += e.bulkLitresAt20C;
      squares += e.bulkLitresAt20C ** 2;
    }
  });
  return {
    unloggedLitresPerYear: (UNLOGGED_SHARE * litres) / years,
    unloggedSquaresPerYear: (UNLOGGED_SHARE * squares) / years,
  };
}

export function toUnit(prepared: PreparedFilling): Unit {
  return {
    prepared,
    fits: prepared.segments.map((segment) => ({
      segment,
      member: memberOf(segment),
      star: new Float64Array(T),
      evidence: null,
    })),
  };
}

/** How far means go towards where a pass's evidence draws them, and where they last went. */
interface Stride {
  step: number;
  before: number[];
}

/**
 * One pass: evidence of every filling, then the groups, spreads and mishap rates. Returns how far the
 * estate stood from where the evidence draws it; null when stopped, the estate then as before it.
 */
function pass(
  ws: FitWorkspace,
  estate: Estate,
  units: readonly Unit[],
  iteration: number,
  stride: Stride,
  work: { done: number },
  stopped: () => boolean,
): number | null {
  const mishaps = noMishaps();
  const all: SegmentFit[] = [];
  const cases: TuningCase[] = [];
  for (let i = 0; i < units.length; i++) {
    if (i % TELL_EVERY === 0 && stopped()) return null;
    work.done++;
    const { prepared, fits } = units[i]!;
    let start = startFromFill(prepared.fill);
    for (const fit of fits) {
      refreshShifts(fit.segment, estate);
      const prior = segmentPrior(estate, fit, start, false);
      const star = fit.star.slice();
      runFilter(ws, fit, start, prior, estate, fit.segment.toDay, QUICK);
      if (fit.segment.readings.length > 0) {
        fit.evidence = evidenceOf(
          ws,
          fit,
          prior.thetaMean,
          prior.thetaCovariance,
          estate.cask,
          star,
        );
        countMishaps(ws, fit, mishaps);
        moveStar(ws, fit);
        all.push(fit);
        if (fit.segment.readings.length > 1) cases.push({ fit, start });
      }
      start = endContent(ws);
    }
  }
  const before = estate.mixed.beta;
  const spreads = lnSpreads(estate);
  solveMixedModel(
    estate.mixed,
    all.map((f) => f.evidence!),
  );
  const means = moveMeans(estate, before, stride);
  updateSpreads(estate, all);
  const gap = Math.max(means, ...lnSpreads(estate).map((x, k) => Math.abs(x - spreads[k]!)));
  updateLotVariance(estate.mixed, 12);
  updateMishaps(estate, mishaps);
  if (iteration >= 2 && iteration < LAST_TUNED && iteration % 2 === 0) tuneNoise(ws, estate, cases);
  return gap;
}

/** Takes the means the stride's part of the way; returns the site's whole way in standard errors. */
function moveMeans({ mixed }: Estate, before: Float64Array, stride: Stride): number {
  const way: number[] = [];
  for (const c of mixed.levels.get('site')!.columns) {
    if (c < 0) continue;
    const u = Math.sqrt(mixed.covariance[c * mixed.size + c]!);
    way.push((mixed.beta[c]! - before[c]!) / u);
  }
  const turned = way.reduce((sum, x, i) => sum + x * (stride.before[i] ?? x), 0) < 0;
  if (turned && stride.step < 1) stride.step = Math.max(LEAST_STEP, AFTER_TURNING * stride.step);
  stride.before = way;
  for (let i = 0; i < mixed.size; i++) {
    mixed.beta[i] = before[i]! + stride.step * (mixed.beta[i]! - before[i]!);
  }
  return Math.max(...way.map(Math.abs));
}

/** Logarithms of the variances of casks about their groups. */
const lnSpreads = ({ cask }: Estate): number[] =>
  CASK_SD.flatMap((sd, k) => (sd > 0 ? [Math.log(cask[k * T + k]!)] : []));

/** Expectation–maximisation step for the spread of casks about their groups. */
function updateSpreads(estate: Estate, fits: readonly SegmentFit[]): void {
  const S = estate.cask;
  const prior = priorCaskCovariance();
  const sum = new Float64Array(T * T);
  const departure = new Float64Array(T);
  const SM = new Float64Array(T * T);
  for (const fit of fits) {
    const { information: M, vector: v } = fit.evidence!;
    const { mean, groupCovariance: C } = caskPrior(estate, fit.member);
    for (let i = 0; i < T; i++) {
      let d = 0;
      for (let j = 0; j < T; j++) {
        let r = v[j]!;
        for (let k = 0; k < T; k++) r -= M[j * T + k]! * mean[k]!;
        d += S[i * T + j]! * r;
        let sm = 0;
        for (let k = 0; k < T; k++) sm += S[i * T + k]! * M[k * T + j]!;
        SM[i * T + j] = sm;
      }
      departure[i] = d;
    }
    // posterior covariance of the departure: S − S M S + S M C M S
    for (let i = 0; i < T; i++) {
      for (let j = 0; j < T; j++) {
        let value = S[i * T + j]! + departure[i]! * departure[j]!;
        for (let k = 0; k < T; k++) {
          value -= SM[i * T + k]! * S[k * T + j]!;
          for (let l = 0; l < T; l++) value += SM[i * T + k]! * C[k * T + l]! * SM[j * T + l]!;
        }
        sum[i * T + j]! += value;
      }
    }
  }
  for (let i = 0; i < T; i++) {
    for (let j = 0; j < T; j++) {
      const at = i * T + j;
      if (prior[at] === 0) continue;
      const weight = SPREAD_WEIGHT[i]!;
      S[at] = (weight * prior[at]! + (sum[at]! + sum[j * T + i]!) / 2) / (weight + fits.length);
    }
  }
}

function updateMishaps(estate: Estate, m: Mishaps): void {
  const { filter } = estate;
  const base = DEFAULT_FILTER_MODEL;
  const share = (events: number, exposure: number, rate: number, weight: number): number =>
    (weight + events) / (weight / rate + exposure);
  filter.blunderShare = Math.min(0.2, share(m.blunders, m.readings, base.blunderShare, 4));
  filter.leaksPerYear = share(m.leaks, m.years, base.leaksPerYear, 4);
  filter.stepsPerYear = share(m.steps, m.years, base.stepsPerYear, 2);
  const lnMedian = (25 * Math.log(LEAK_LITRES_PER_YEAR) + m.lnLeakRate) / (25 + m.ratedLeaks);
  filter.leakLitresPerYear = Math.exp(lnMedian);
  filter.meanStrength = m.strengthSum / m.readings;
  filter.sdStrength = Math.sqrt(
    Math.max(1, m.strengthSquares / m.readings - filter.meanStrength ** 2),
  );
}
