import { THETA_COUNT } from './priors.ts';

/** State of one hypothesis: deviations from the nominal course. */
export const ETHANOL = 0;
export const WATER = 1;
export const THETA_AT = 2;
export const BIAS = THETA_AT + THETA_COUNT;
export const LEAK = BIAS + 1;
export const N = LEAK + 1;
export const NN = N * N;
/** position of the variance of state k in a packed lower triangle */
export const diagonal = (k: number): number => (k * (k + 1)) / 2 + k;

/** Gaussians of the live hypotheses, side by side. */
export interface Pool {
  capacity: number;
  readings: number;
  mean: Float64Array;
  covariance: Float64Array;
  logWeight: Float64Array;
  leakStart: Float64Array;
  leakStop: Float64Array;
  /** litres a year while it ran, once stopped */
  leakRate: Float64Array;
  stepDay: Float64Array;
  stepLitres: Float64Array;
  /** probability that the step was a leak that stopped */
  stepIsLeak: Float64Array;
  /** [hypothesis][reading] packed choice */
  choice: Int32Array;
}

export function createPool(capacity: number, readings: number): Pool {
  return {
    capacity,
    readings,
    mean: new Float64Array(capacity * N),
    covariance: new Float64Array(capacity * NN),
    logWeight: new Float64Array(capacity),
    leakStart: new Float64Array(capacity),
    leakStop: new Float64Array(capacity),
    leakRate: new Float64Array(capacity),
    stepDay: new Float64Array(capacity),
    stepLitres: new Float64Array(capacity),
    stepIsLeak: new Float64Array(capacity),
    choice: new Int32Array(capacity * readings),
  };
}

export function copyHypothesis(from: Pool, i: number, to: Pool, j: number): void {
  to.mean.set(from.mean.subarray(i * N, i * N + N), j * N);
  to.covariance.set(from.covariance.subarray(i * NN, i * NN + NN), j * NN);
  to.logWeight[j] = from.logWeight[i]!;
  to.leakStart[j] = from.leakStart[i]!;
  to.leakStop[j] = from.leakStop[i]!;
  to.leakRate[j] = from.leakRate[i]!;
  to.stepDay[j] = from.stepDay[i]!;
  to.stepLitres[j] = from.stepLitres[i]!;
  to.stepIsLeak[j] = from.stepIsLeak[i]!;
  const r = from.readings;
  to.choice.set(from.choice.subarray(i * r, i * r + r), j * r);
}

const gain = new Float64Array(N);

/** Scalar measurement: y = c_e·e + c_w·w + c_b·b + noise, `innovation` = y − its nominal. */
export function measure(
  pool: Pool,
  i: number,
  byEthanol: number,
  byWater: number,
  byBias: number,
  innovation: number,
  variance: number,
): void {
  const m = i * N;
  const c = i * NN;
  const { mean, covariance } = pool;
  for (let k = 0; k < N; k++) {
    gain[k] =
      byEthanol * covariance[c + k * N + ETHANOL]! +
      byWater * covariance[c + k * N + WATER]! +
      byBias * covariance[c + k * N + BIAS]!;
  }
  const s = byEthanol * gain[ETHANOL]! + byWater * gain[WATER]! + byBias * gain[BIAS]! + variance;
  const residual =
    (innovation -
      byEthanol * mean[m + ETHANOL]! -
      byWater * mean[m + WATER]! -
      byBias * mean[m + BIAS]!) /
    s;
  for (let a = 0; a < N; a++) {
    const ga = gain[a]!;
    mean[m + a]! += ga * residual;
    for (let b = 0; b <= a; b++) {
      const v = covariance[c + a * N + b]! - (ga * gain[b]!) / s;
      covariance[c + a * N + b] = v;
      covariance[c + b * N + a] = v;
    }
  }
}

const rowE = new Float64Array(N);
const rowW = new Float64Array(N);

/** Time step: rows of the transition for ethanol and water; everything else stays. Adds noise. */
export function advance(
  pool: Pool,
  i: number,
  toEthanol: Float64Array,
  toWater: Float64Array,
  noiseEE: number,
  noiseEW: number,
  noiseWW: number,
): void {
  const m = i * N;
  const c = i * NN;
  const { mean, covariance } = pool;
  let e = 0;
  let w = 0;
  for (let k = 0; k < N; k++) {
    e += toEthanol[k]! * mean[m + k]!;
    w += toWater[k]! * mean[m + k]!;
    let se = 0;
    let sw = 0;
    for (let j = 0; j < N; j++) {
      const v = covariance[c + j * N + k]!;
      se += toEthanol[j]! * v;
      sw += toWater[j]! * v;
    }
    rowE[k] = se;
    rowW[k] = sw;
  }
  mean[m + ETHANOL] = e;
  mean[m + WATER] = w;
  let ee = noiseEE;
  let ew = noiseEW;
  let ww = noiseWW;
  for (let k = 0; k < N; k++) {
    ee += rowE[k]! * toEthanol[k]!;
    ew += rowE[k]! * toWater[k]!;
    ww += rowW[k]! * toWater[k]!;
  }
  for (let k = 2; k < N; k++) {
    covariance[c + k] = rowE[k]!;
    covariance[c + k * N] = rowE[k]!;
    covariance[c + N + k] = rowW[k]!;
    covariance[c + k * N + 1] = rowW[k]!;
  }
  covariance[c] = ee;
  covariance[c + 1] = ew;
  covariance[c + N] = ew;
  covariance[c + N + 1] = ww;
}

/** z_e += a_e z_r and z_w += a_w z_r: undoes (or adds) some of a leak's effect. */
export function addLeakShare(pool: Pool, i: number, byEthanol: number, byWater: number): void {
  const m = i * N;
  const c = i * NN;
  const { mean, covariance } = pool;
  mean[m]! += byEthanol * mean[m + LEAK]!;
  mean[m + 1]! += byWater * mean[m + LEAK]!;
  for (const [row, a] of [
    [ETHANOL, byEthanol],
    [WATER, byWater],
  ] as const) {
    for (let k = 0; k < N; k++) covariance[c + row * N + k]! += a * covariance[c + LEAK * N + k]!;
    for (let k = 0; k < N; k++) covariance[c + k * N + row]! += a * covariance[c + k * N + LEAK]!;
  }
}

/** Sets the leak rate apart from everything else: mean and variance, no correlation. */
export function setLeak(pool: Pool, i: number, mean: number, variance: number): void {
  const c = i * NN;
  for (let k = 0; k < N; k++) {
    pool.covariance[c + LEAK * N + k] = 0;
    pool.covariance[c + k * N + LEAK] = 0;
  }
  pool.mean[i * N + LEAK] = mean;
  pool.covariance[c + LEAK * N + LEAK] = variance;
}

/** Adds an independent error along (a_e, a_w) to ethanol and water. */
export function shiftContent(
  pool: Pool,
  i: number,
  byEthanol: number,
  byWater: number,
  mean: number,
  variance: number,
): void {
  pool.mean[i * N]! += byEthanol * mean;
  pool.mean[i * N + 1]! += byWater * mean;
  const c = i * NN;
  pool.covariance[c]! += byEthanol * byEthanol * variance;
  pool.covariance[c + 1]! += byEthanol * byWater * variance;
  pool.covariance[c + N]! += byEthanol * byWater * variance;
  pool.covariance[c + N + 1]! += byWater * byWater * variance;
}
