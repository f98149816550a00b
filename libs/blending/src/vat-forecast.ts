import {
  liquidFromVolume,
  massFractionFromStrength,
  volumeOfLiquid,
  waterDensity20C,
} from '@rundlet/alcoholometry';
import type { CandidateCask } from './candidate.ts';
import { normalCdf, normalQuantile } from './normal-distribution.ts';
import type { BlendPlan } from './plan.ts';
import type { BlendProblem } from './problem.ts';
import { wishOf } from './problem-check.ts';
import { wishedWindows } from './formulate.ts';
import { targetStrength } from './aim-costs.ts';
import { waterInterval, waterWishKg } from './realise.ts';

export interface ForecastOptions {
  /** Coverage of the intervals, 0.9 when left out. */
  readonly coverage?: number;
  /** Correlation of the errors of two casks of one group (bulk and strength alike), 0…1. */
  readonly withinGroupCorrelation?: number;
  /** The same for casks of different groups; not above `withinGroupCorrelation`. */
  readonly betweenGroupsCorrelation?: number;
}

export interface Interval {
  readonly mean: number;
  readonly sd: number;
  readonly low: number;
  readonly high: number;
}

/** How far the gauged vat may lie from the plan, and what water can do about it. */
export interface VatForecast {
  readonly coverage: number;
  /** With the planned water. */
  readonly bulkLitresAt20C: Interval;
  readonly strengthPercentVol: Interval;
  /** Chance that volume and strength both fall in their windows with exactly the planned water. */
  readonly chanceAsPlanned: number;
  /** The same when the water is trimmed after gauging (within the water wish). */
  readonly chanceWithTrim: number;
  /** Water, L at 20 °C, that brings the gauged spirit to its target strength. */
  readonly waterForTargetLitresAt20C: Interval;
  /** Casks without stated uncertainty, taken as exact. */
  readonly casksWithoutUncertainty: number;
}

/**
 * Carries the casks' forecast errors into the vat. First order in each cask (error small against the
 * cask), exact in the vat: ethanol and cask water are taken as jointly normal, volume and strength
 * follow from them by the density formula. A whole cask gives all of its uncertain litres; a part
 * draw is measured out, so only its strength is uncertain.
 */
export function forecastVat(
  problem: BlendProblem,
  plan: BlendPlan,
  options: ForecastOptions = {},
): VatForecast {
  const coverage = options.coverage ?? 0.9;
  const within = options.withinGroupCorrelation ?? 0;
  const between = options.betweenGroupsCorrelation ?? 0;
  if (!(between >= 0 && between <= within && within <= 1))
    throw new RangeError(
      `correlations: need 0 ≤ between groups (${between}) ≤ within group (${within}) ≤ 1`,
    );
  const z = normalQuantile((1 + coverage) / 2);
  const { ethanolKg, waterKg, covariance, unstated } = jointMasses(problem, plan, within, between);
  const [varE, covEW, varW] = covariance;
  const spread = (gradient: readonly [number, number]): number =>
    Math.sqrt(
      Math.max(
        0,
        gradient[0] ** 2 * varE + 2 * gradient[0] * gradient[1] * covEW + gradient[1] ** 2 * varW,
      ),
    );
  const interval = (mean: number, sd: number): Interval => ({
    mean,
    sd,
    low: mean - z * sd,
    high: mean + z * sd,
  });
  const vatOf = (e: number, w: number) =>
    volumeOfLiquid({ ethanolKg: Math.max(0, e), waterKg: Math.max(0, w + plan.water.kg) });
  const gradientOf = (read: (v: ReturnType<typeof vatOf>) => number): readonly [number, number] => {
    const h = 1e-4 * (ethanolKg + waterKg);
    return [
      (read(vatOf(ethanolKg + h, waterKg)) - read(vatOf(ethanolKg - h, waterKg))) / (2 * h),
      (read(vatOf(ethanolKg, waterKg + h)) - read(vatOf(ethanolKg, waterKg - h))) / (2 * h),
    ];
  };
  const p = massFractionFromStrength(targetStrength(wishOf(problem, 'strength')));
  const kgPerLitre = waterDensity20C / 1000;
  const chances = chancesOf(problem, plan, ethanolKg, waterKg, covariance);
  return {
    coverage,
    bulkLitresAt20C: interval(
      vatOf(ethanolKg, waterKg).bulkLitresAt20C,
      spread(gradientOf((v) => v.bulkLitresAt20C)),
    ),
    strengthPercentVol: interval(
      vatOf(ethanolKg, waterKg).strengthPercentVol,
      spread(gradientOf((v) => v.strengthPercentVol)),
    ),
    ...chances,
    // Water to the target is linear in the masses: E·(1/p − 1) − W.
    waterForTargetLitresAt20C: interval(
      (ethanolKg * (1 / p - 1) - waterKg) / kgPerLitre,
      spread([(1 / p - 1) / kgPerLitre, -1 / kgPerLitre]),
    ),
    casksWithoutUncertainty: unstated,
  };
}

type Covariance = readonly [varE: number, covEW: number, varW: number];

/** Mean and covariance of the ethanol and the water that leave the casks. */
function jointMasses(
  problem: BlendProblem,
  plan: BlendPlan,
  within: number,
  between: number,
): { ethanolKg: number; waterKg: number; covariance: Covariance; unstated: number } {
  const casks = new Map(problem.casks.map((cask) => [cask.id, cask]));
  let ethanolKg = 0;
  let waterKg = 0;
  let unstated = 0;
  const own = [0, 0, 0] as [number, number, number];
  // Σ of each cask's effect of one standard error in bulk and in strength, per group and in all:
  // equal correlations make the shared parts sums of effects, squared once.
  const groups = new Map<string, Effects>();
  const all: Effects = { bulk: [0, 0], strength: [0, 0], cross: 0, count: 0 };
  for (const draw of plan.draws) {
    ethanolKg += draw.ethanolKg;
    waterKg += draw.waterKg;
    const cask = casks.get(draw.caskId)!;
    const known = cask.uncertainty;
    if (!known) {
      unstated++;
      continue;
    }
    const [bulk, strength] = effectsOf(cask, draw.bulkLitresAt20C, draw.whole);
    const rho = known.bulkStrengthCorrelation ?? 0;
    addOuter(own, bulk, bulk, 1 - within);
    addOuter(own, strength, strength, 1 - within);
    addOuter(own, bulk, strength, 2 * rho * (1 - within));
    const key = known.group ?? '';
    let group = groups.get(key);
    if (!group) {
      group = { bulk: [0, 0], strength: [0, 0], cross: 0, count: 0 };
      groups.set(key, group);
    }
    for (const sums of [group, all]) {
      sums.bulk = [sums.bulk[0] + bulk[0], sums.bulk[1] + bulk[1]];
      sums.strength = [sums.strength[0] + strength[0], sums.strength[1] + strength[1]];
      sums.cross += rho;
      sums.count++;
    }
  }
  const addShared = (sums: Effects, correlation: number): void => {
    if (sums.count === 0 || correlation === 0) return;
    addOuter(own, sums.bulk, sums.bulk, correlation);
    addOuter(own, sums.strength, sums.strength, correlation);
    addOuter(own, sums.bulk, sums.strength, (2 * correlation * sums.cross) / sums.count);
  };
  for (const group of groups.values()) addShared(group, within - between);
  addShared(all, between);
  return { ethanolKg, waterKg, covariance: own, unstated };
}

interface Effects {
  bulk: readonly [number, number];
  strength: readonly [number, number];
  cross: number;
  count: number;
}

/** Change of (ethanol, water) drawn, kg, for one standard error in bulk and in strength. */
function effectsOf(
  cask: CandidateCask,
  litresDrawn: number,
  whole: boolean,
): readonly [readonly [number, number], readonly [number, number]] {
  const { bulkLitresSd = 0, strengthPercentVolSd = 0 } = cask.uncertainty ?? {};
  const drawn = liquidFromVolume(litresDrawn, cask.strengthPercentVol);
  const relative = whole ? bulkLitresSd / cask.bulkLitresAt20C : 0;
  const step = 0.01;
  const low = Math.max(0, cask.strengthPercentVol - step);
  const high = Math.min(100, cask.strengthPercentVol + step);
  const below = liquidFromVolume(litresDrawn, low);
  const above = liquidFromVolume(litresDrawn, high);
  const perPercent = strengthPercentVolSd / (high - low);
  return [
    [drawn.ethanolKg * relative, drawn.waterKg * relative],
    [
      (above.ethanolKg - below.ethanolKg) * perPercent,
      (above.waterKg - below.waterKg) * perPercent,
    ],
  ];
}

function addOuter(
  sum: [number, number, number],
  a: readonly [number, number],
  b: readonly [number, number],
  factor: number,
): void {
  sum[0] += factor * a[0] * b[0];
  sum[1] += (factor * (a[0] * b[1] + a[1] * b[0])) / 2;
  sum[2] += factor * a[1] * b[1];
}

/**
 * P(windows kept) = ∫ φ(E) · P(water in the interval that E allows | E) dE, by the trapezoid rule
 * over ±8 standard deviations: smooth enough that 400 steps give 1e-6.
 */
function chancesOf(
  problem: BlendProblem,
  plan: BlendPlan,
  ethanolKg: number,
  waterKg: number,
  [varE, covEW, varW]: Covariance,
): { chanceAsPlanned: number; chanceWithTrim: number } {
  const windows = wishedWindows(problem);
  const [leastAdded, mostAdded] = waterWishKg(problem);
  const sdE = Math.sqrt(varE);
  const slope = varE > 0 ? covEW / varE : 0;
  const sdRest = Math.sqrt(Math.max(0, varW - slope * covEW));
  let planned = 0;
  let trimmed = 0;
  let weights = 0;
  const steps = sdE > 0 ? 400 : 0;
  for (let k = 0; k <= steps; k++) {
    const u = steps === 0 ? 0 : -8 + (16 * k) / steps;
    const weight = Math.exp((-u * u) / 2);
    weights += weight;
    const ethanol = ethanolKg + u * sdE;
    const total = waterInterval({ ethanolKg: ethanol, waterKg: 0 }, windows, [0, Infinity]);
    if (!total) continue;
    const mean = waterKg + slope * (ethanol - ethanolKg);
    planned +=
      weight * chanceBetween(mean, sdRest, total[0] - plan.water.kg, total[1] - plan.water.kg);
    trimmed += weight * chanceBetween(mean, sdRest, total[0] - mostAdded, total[1] - leastAdded);
  }
  return { chanceAsPlanned: planned / weights, chanceWithTrim: trimmed / weights };
}

function chanceBetween(mean: number, sd: number, low: number, high: number): number {
  const slack = 1e-9 * Math.max(1, Math.abs(mean));
  if (sd <= slack) return mean >= low - slack && mean <= high + slack ? 1 : 0;
  return Math.max(0, normalCdf((high - mean) / sd) - normalCdf((low - mean) / sd));
}
