import { leakScale, mostLeaked, weighCandidates } from './candidates.ts';
import { kindOf, levelOf, onsetOf, whatOf } from './choice.ts';
import {
  COPIED,
  LEAK_LEVELS,
  LEAK_STARTS,
  LEAK_STOPS,
  leakShareOfStep,
  LEVEL_SPREAD,
  LITRES_WRONG,
  OTHER_CASK,
  SLOPPY,
  STEP,
  STEP_LITRES,
  STRENGTH_WRONG,
  UNCORRECTED,
  type FilterModel,
} from './filter-model.ts';
import { ensureReadings, type FilterEffort, type FilterWorkspace } from './filter-workspace.ts';
import {
  addLeakShare,
  BIAS,
  copyHypothesis,
  LEAK,
  measure,
  N,
  NN,
  setLeak,
  shiftContent,
  THETA_AT,
} from './gaussian-pool.ts';
import { hearKeeper } from './keepers-word.ts';
import { passInterval, prepareInterval } from './interval.ts';
import { gaugeContent, type Linearisation } from './linearise.ts';
import { SLOPPY_SCALE, THETA_COUNT } from './priors.ts';
import { readingFacts, uncorrectedNoise, type ReadingFacts } from './reading-kinds.ts';
import type { Reading, Segment } from './segments.ts';

/** What is believed of a segment before its readings. */
export interface SegmentPrior {
  thetaMean: Float64Array;
  /** THETA_COUNT² */
  thetaCovariance: Float64Array;
  /** ethanol and water at the start about the nominal: variances and covariance, kg² */
  startEE: number;
  startEW: number;
  startWW: number;
}

/**
 * Runs the readings of a segment through every explanation worth keeping: a Gaussian for each, as a
 * Kalman filter about the nominal course. On return the live pool holds them with normalised
 * `logWeight`s, at the day of the last mark. Returns the log evidence.
 *
 * With `forced` (a choice per reading) only that explanation is followed.
 */
export function filterSegment(
  ws: FilterWorkspace,
  lin: Linearisation,
  segment: Segment,
  prior: SegmentPrior,
  model: FilterModel,
  effort: FilterEffort,
  forced: Int32Array | null = null,
): number {
  const { readings } = segment;
  const { capacityLitres } = segment.vessel;
  ensureReadings(ws, readings.length);
  begin(ws, lin, prior, model, readings);
  let next = 0;
  let lastDay = segment.fromDay;
  let evidence = 0;
  for (let m = 0; m < lin.marks.length; m++) {
    prepareInterval(ws, lin, segment, m, lastDay, model);
    for (let h = 0; h < ws.liveCount; h++) passInterval(ws, h, segment);
    gaugeContent(lin.nominal[m * 2]!, lin.nominal[m * 2 + 1]!, ws.gauged);
    let years = ws.interval.years;
    while (next < readings.length && readings[next]!.day === lin.marks[m]) {
      const r = readings[next]!;
      const earlier = readings.slice(0, next);
      const facts = readingFacts(r, earlier, model, capacityLitres, ws.gauged.litres);
      weighCandidates(ws, r, next, facts, years, model, capacityLitres, effort, forced);
      evidence += keepBest(ws, r, next, facts, model, capacityLitres, effort);
      next++;
      years = 0;
    }
    lastDay = lin.marks[m]!;
  }
  if (segment.inspections.length > 0) evidence += hearKeeper(ws, segment, model);
  return evidence;
}

const dipBiasVariance = (readings: readonly Reading[], model: FilterModel): number => {
  const dip = readings.find((r) => r.dip);
  return dip ? model.dipBiasShare * (dip.uLitres * model.dipScale) ** 2 : 0;
};

function begin(
  ws: FilterWorkspace,
  lin: Linearisation,
  prior: SegmentPrior,
  model: FilterModel,
  readings: readonly Reading[],
): void {
  const { live } = ws;
  live.mean.fill(0, 0, N);
  live.covariance.fill(0, 0, NN);
  live.covariance[0] = prior.startEE;
  live.covariance[1] = prior.startEW;
  live.covariance[N] = prior.startEW;
  live.covariance[N + 1] = prior.startWW;
  for (let i = 0; i < THETA_COUNT; i++) {
    live.mean[THETA_AT + i] = prior.thetaMean[i]! - lin.parameters[2 + i]!;
    for (let j = 0; j < THETA_COUNT; j++) {
      live.covariance[(THETA_AT + i) * N + THETA_AT + j] =
        prior.thetaCovariance[i * THETA_COUNT + j]!;
    }
  }
  live.covariance[BIAS * N + BIAS] = dipBiasVariance(readings, model);
  live.logWeight[0] = 0;
  live.leakStart[0] = NaN;
  live.leakStop[0] = NaN;
  live.leakRate[0] = 0;
  live.stepDay[0] = NaN;
  live.stepLitres[0] = 0;
  live.stepIsLeak[0] = 0;
  live.choice.fill(0, 0, live.readings);
  ws.liveCount = 1;
}

/** Keeps the likeliest candidates, carries them out, normalises; returns the log of their sum. */
function keepBest(
  ws: FilterWorkspace,
  r: Reading,
  index: number,
  facts: ReadingFacts,
  model: FilterModel,
  capacityLitres: number,
  effort: FilterEffort,
): number {
  const { weight, candidates } = ws;
  // a forced course that has become impossible
  if (candidates === 0) return -1e6;
  let best = -Infinity;
  for (let i = 0; i < candidates; i++) if (weight[i]! > best) best = weight[i]!;
  let sum = 0;
  for (let i = 0; i < candidates; i++) sum += Math.exp(weight[i]! - best);
  const total = best + Math.log(sum);
  let kept = 0;
  while (kept < effort.live) {
    let at = -1;
    let w = best - effort.dropBelow;
    for (let i = 0; i < candidates; i++) {
      if (weight[i]! > w) {
        w = weight[i]!;
        at = i;
      }
    }
    if (at < 0) break;
    copyHypothesis(ws.live, ws.parent[at]!, ws.spare, kept);
    ws.spare.choice[kept * ws.spare.readings + index] = ws.choice[at]!;
    happen(ws, kept, ws.choice[at]!, model, capacityLitres);
    read(ws, kept, kindOf(ws.choice[at]!), r, facts);
    ws.spare.logWeight[kept] = w - total;
    weight[at] = -Infinity;
    kept++;
  }
  const swap = ws.live;
  ws.live = ws.spare;
  ws.spare = swap;
  ws.liveCount = kept;
  return total;
}

/** Carries out what a choice says happened in the interval. */
function happen(
  ws: FilterWorkspace,
  i: number,
  choice: number,
  model: FilterModel,
  capacityLitres: number,
): void {
  const pool = ws.spare;
  const { fromDay, toDay, years, onsets, ethanolPerLitre, waterPerLitre } = ws.interval;
  const onset = fromDay + (toDay - fromDay) * onsets[onsetOf(choice)]!;
  const running = (toDay - onset) / 365.25;
  switch (whatOf(choice)) {
    case LEAK_STARTS: {
      const level = LEAK_LEVELS[levelOf(choice)]!;
      const wanted =
        model.leakLitresPerYear * leakScale(capacityLitres) * Math.exp(level * model.leakLnSd);
      const m = i * N;
      const content =
        ws.gauged.litres +
        ws.gauged.litresByEthanol * pool.mean[m]! +
        ws.gauged.litresByWater * pool.mean[m + 1]!;
      const rate = mostLeaked(wanted * running, content) / running;
      setLeak(pool, i, rate, (LEVEL_SPREAD * rate) ** 2);
      addLeakShare(pool, i, -running * ethanolPerLitre, -running * waterPerLitre);
      pool.leakStart[i] = onset;
      break;
    }
    case LEAK_STOPS:
      addLeakShare(pool, i, running * ethanolPerLitre, running * waterPerLitre);
      pool.leakRate[i] = pool.mean[i * N + LEAK]!;
      setLeak(pool, i, 0, 0);
      pool.leakStop[i] = onset;
      break;
    case STEP: {
      const lost = STEP_LITRES[levelOf(choice)]! * leakScale(capacityLitres);
      shiftContent(pool, i, -ethanolPerLitre, -waterPerLitre, lost, (LEVEL_SPREAD * lost) ** 2);
      pool.stepDay[i] = onset;
      pool.stepLitres[i] = lost;
      pool.stepIsLeak[i] = leakShareOfStep(model, years);
    }
  }
}

/** Lets a reading speak as far as its kind allows. */
function read(ws: FilterWorkspace, i: number, kind: number, r: Reading, facts: ReadingFacts): void {
  if (kind === OTHER_CASK || kind === COPIED) return;
  const g = ws.gauged;
  const looser = kind === SLOPPY ? SLOPPY_SCALE ** 2 : 1;
  if (kind !== LITRES_WRONG) {
    const noise = looser * facts.noiseLitres;
    const dip = r.dip ? 1 : 0;
    measure(ws.spare, i, g.litresByEthanol, g.litresByWater, dip, r.litres - g.litres, noise);
  }
  if (kind !== STRENGTH_WRONG) {
    const shift = kind === UNCORRECTED ? r.uncorrected! : 0;
    const noise =
      looser * facts.noiseStrength + (kind === UNCORRECTED ? uncorrectedNoise(shift) : 0);
    const departure = r.strength - g.strength - shift;
    measure(ws.spare, i, g.strengthByEthanol, g.strengthByWater, 0, departure, noise);
  }
}
