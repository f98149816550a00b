import { kindOf, whatOf } from './choice.ts';
import { isBlunder, LEAK_STARTS, STEP } from './filter-model.ts';
import type { FitWorkspace, SegmentFit } from './fit.ts';
import { LEAK, N, NN, THETA_AT } from './gaussian-pool.ts';
import { inverseOfSymmetric, solveGeneral } from './matrix.ts';
import type { Evidence } from './mixed-model.ts';
import { THETA_COUNT as T } from './priors.ts';

const TT = T * T;

/**
 * What a segment's readings say about its cask's θ, apart from the prior: information form, averaged
 * over the explanations, then with the cask's own departure integrated out, so that it speaks of the
 * group mean.
 */
export function evidenceOf(
  ws: FitWorkspace,
  fit: SegmentFit,
  priorMean: Float64Array,
  priorCovariance: Float64Array,
  cask: Float64Array,
  starAtFilter: Float64Array,
): Evidence {
  const { live, liveCount } = ws.filter;
  const priorPrecision = inverseOfSymmetric(priorCovariance, T, 1e-18);
  const I = new Float64Array(TT);
  const v = new Float64Array(T);
  const block = new Float64Array(TT);
  let used = 0;
  for (let h = 0; h < liveCount; h++) {
    const p = Math.exp(live.logWeight[h]!);
    if (p < 0.02) continue;
    used += p;
    for (let a = 0; a < T; a++) {
      for (let b = 0; b < T; b++) {
        block[a * T + b] = live.covariance[h * NN + (THETA_AT + a) * N + THETA_AT + b]!;
      }
    }
    const precision = inverseOfSymmetric(block, T, 1e-18);
    for (let a = 0; a < T; a++) {
      let sum = 0;
      for (let b = 0; b < T; b++) {
        const at = a * T + b;
        sum +=
          precision[at]! * (live.mean[h * N + THETA_AT + b]! + starAtFilter[b]!) -
          priorPrecision[at]! * priorMean[b]!;
        I[at]! += p * (precision[at]! - priorPrecision[at]!);
      }
      v[a]! += p * sum;
    }
  }
  for (let i = 0; i < TT; i++) I[i]! /= used;
  for (let i = 0; i < T; i++) v[i]! /= used;
  return { member: fit.member, ...integrateOut(I, v, cask) };
}

/** (I⁻¹ + Σ)⁻¹ and its vector, for any I, singular ones included. */
function integrateOut(
  I: Float64Array,
  v: Float64Array,
  cask: Float64Array,
): { information: Float64Array; vector: Float64Array } {
  const a = new Float64Array(TT);
  const rhs = new Float64Array(T * (T + 1));
  for (let i = 0; i < T; i++) {
    for (let j = 0; j < T; j++) {
      let sum = i === j ? 1 : 0;
      for (let k = 0; k < T; k++) sum += I[i * T + k]! * cask[k * T + j]!;
      a[i * T + j] = sum;
      rhs[i * (T + 1) + j] = I[i * T + j]!;
    }
    rhs[i * (T + 1) + T] = v[i]!;
  }
  solveGeneral(a, T, rhs, T + 1);
  const information = new Float64Array(TT);
  const vector = new Float64Array(T);
  for (let i = 0; i < T; i++) {
    for (let j = 0; j < T; j++) {
      information[i * T + j] = (rhs[i * (T + 1) + j]! + rhs[j * (T + 1) + i]!) / 2;
    }
    vector[i] = rhs[i * (T + 1) + T]!;
  }
  return { information, vector };
}

/** Expected counts of what went wrong, over all segments of a pass. */
export interface Mishaps {
  readings: number;
  blunders: number;
  /** cask-years watched up to a last reading */
  years: number;
  leaks: number;
  steps: number;
  ratedLeaks: number;
  lnLeakRate: number;
  strengthSum: number;
  strengthSquares: number;
}

export const noMishaps = (): Mishaps => ({
  readings: 0,
  blunders: 0,
  years: 0,
  leaks: 0,
  steps: 0,
  ratedLeaks: 0,
  lnLeakRate: 0,
  strengthSum: 0,
  strengthSquares: 0,
});

export function countMishaps(ws: FitWorkspace, fit: SegmentFit, into: Mishaps): void {
  const { readings, fromDay, vessel } = fit.segment;
  const { live, liveCount } = ws.filter;
  into.readings += readings.length;
  into.years += ((readings.at(-1)?.day ?? fromDay) - fromDay) / 365.25;
  for (const r of readings) {
    into.strengthSum += r.strength;
    into.strengthSquares += r.strength * r.strength;
  }
  for (let h = 0; h < liveCount; h++) {
    const p = Math.exp(live.logWeight[h]!);
    for (let i = 0; i < readings.length; i++) {
      const choice = live.choice[h * live.readings + i]!;
      if (isBlunder(kindOf(choice))) into.blunders += p;
      if (whatOf(choice) === LEAK_STARTS) into.leaks += p;
      if (whatOf(choice) === STEP) {
        into.leaks += p * live.stepIsLeak[h]!;
        into.steps += p * (1 - live.stepIsLeak[h]!);
      }
    }
    if (Number.isFinite(live.leakStart[h]!)) {
      const rate =
        (live.leakRate[h]! || live.mean[h * N + LEAK]!) / (vessel.capacityLitres / 200) ** 0.4;
      into.ratedLeaks += p;
      into.lnLeakRate += p * Math.log(Math.max(rate, 0.5));
    }
  }
}
