import { LEAK, N, THETA_AT } from './gaussian-pool.ts';
import type { ComponentOutlook } from './component-outlook.ts';
import { BULK, LPA, QUANTITIES } from './outlook.ts';
import type { PosteriorComponent } from './answers.ts';
import { THETA_COUNT as T } from './priors.ts';
import type { LeakAtom } from './spread.ts';

/** Mean, variances and third moment of one filling's bulk and LPA at one date. */
export interface Moments {
  bulk: number;
  lpa: number;
  varBulk: number;
  varLpa: number;
  covariance: number;
  thirdBulk: number;
  thirdLpa: number;
}

/** Moments over explanations and leaks to come; the noise of weather is left to the caller. */
export function momentsAt(
  components: readonly ComponentOutlook[],
  atoms: readonly LeakAtom[],
  m: number,
  ownVariance: number,
): Moments {
  let leakMean = 0;
  for (const a of atoms) leakMean += a.chance * a.lost;
  let leakVar = 0;
  let leakThird = 0;
  for (const a of atoms) {
    const d = a.lost - leakMean;
    leakVar += a.chance * (d * d + a.spread * a.spread);
    leakThird -= a.chance * (d * d * d + 3 * d * a.spread * a.spread);
  }
  const at = m * QUANTITIES;
  let bulk = 0;
  let lpa = 0;
  let total = 0;
  for (const c of components) {
    total += c.weight;
    bulk += c.weight * c.median[at + BULK]!;
    lpa += c.weight * c.median[at + LPA]!;
  }
  bulk /= total;
  lpa /= total;
  let varBulk = 0;
  let varLpa = 0;
  let covariance = 0;
  let thirdBulk = 0;
  let thirdLpa = 0;
  for (const c of components) {
    const p = c.weight / total;
    const byBulk = c.rateLoad[at + BULK]!;
    const byLpa = c.rateLoad[at + LPA]!;
    const vb = c.variance[at + BULK]! + ownVariance * byBulk * byBulk;
    const vl = c.variance[at + LPA]! + ownVariance * byLpa * byLpa;
    const cv = c.bulkWithLpa[m]! + ownVariance * byBulk * byLpa;
    const db = c.median[at + BULK]! - bulk;
    const dl = c.median[at + LPA]! - lpa;
    varBulk += p * (vb + db * db);
    varLpa += p * (vl + dl * dl);
    covariance += p * (cv + db * dl);
    thirdBulk += p * (db ** 3 + 3 * db * vb);
    thirdLpa += p * (dl ** 3 + 3 * dl * vl);
  }
  const strength = bulk > 0 ? lpa / bulk : 0;
  return {
    bulk: Math.max(0, bulk - leakMean),
    lpa: Math.max(0, lpa - leakMean * strength),
    varBulk: varBulk + leakVar,
    varLpa: varLpa + leakVar * strength * strength,
    covariance: covariance + leakVar * strength,
    thirdBulk: thirdBulk + leakThird,
    thirdLpa: thirdLpa + leakThird * strength ** 3,
  };
}

/** g1ᵀ P g2 with gradients at offsets. */
export function bilinear(P: Float64Array, gradient: Float64Array, a: number, b: number): number {
  let sum = 0;
  for (let i = 0; i < N; i++) {
    const gi = gradient[a + i]!;
    if (gi === 0) continue;
    const row = i * N;
    let inner = 0;
    for (let j = 0; j < N; j++) inner += P[row + j]! * gradient[b + j]!;
    sum += gi * inner;
  }
  return sum;
}

/**
 * How a filling's state follows its groups' mean: Cov(state, θ) × (prior covariance of θ)⁻¹, N × T.
 * One for a filling without readings, near nought for one that has been gauged well.
 */
export function lean(component: PosteriorComponent, priorPrecision: Float64Array): Float64Array {
  const P = component.covariance;
  out.fill(0);
  for (let i = 0; i < N; i++) {
    if (i === LEAK) continue;
    for (let j = 0; j < T; j++) {
      const a = Math.max(i, THETA_AT + j);
      const b = Math.min(i, THETA_AT + j);
      const p = P[(a * (a + 1)) / 2 + b]!;
      if (p === 0) continue;
      for (let k = 0; k < T; k++) out[i * T + k]! += p * priorPrecision[j * T + k]!;
    }
  }
  return out;
}

/** overwritten by the next */
const out = new Float64Array(N * T);
