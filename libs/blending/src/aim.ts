import type { ShareBasis, ValueMatch } from './wish.ts';

interface AimBase {
  /** Multiplies the aim's own unit within its priority level; > 0, 1 when left out. */
  readonly weight?: number;
  /** Levels are optimised one after another, lowest number first; 1 when left out. */
  readonly priority?: number;
}

/** Least cost of the alcohol drawn, plus water at so much a litre. Unit: currency. */
export interface CostAim extends AimBase {
  readonly kind: 'cost';
  readonly waterCostPerLitre?: number;
}

/** Least harm to the stock's future: `valueLeftBehind` times the fraction drawn. Unit: currency. */
export interface FutureAim extends AimBase {
  readonly kind: 'future';
}

/** Casks at risk first: the most Σ `atRisk` · LPA drawn. Unit: litres of pure alcohol. */
export interface AtRiskAim extends AimBase {
  readonly kind: 'at-risk';
}

/** Fewest movements. Unit: casks (`perCask`, 1 if left out) plus rows (`perRow`, 0 if left out). */
export interface MovementsAim extends AimBase {
  readonly kind: 'movements';
  readonly perCask?: number;
  readonly perRow?: number;
}

/** Least left behind in casks drawn in part. Unit: litres at 20 °C. */
export interface HeelsAim extends AimBase {
  readonly kind: 'heels';
}

/** One feature of the character aimed at; a deviation of `scale` counts 1. */
export type CharacterFeature =
  | {
      readonly feature: 'score';
      readonly attribute: string;
      readonly of: ShareBasis;
      readonly target: number;
      readonly scale: number;
    }
  | {
      readonly feature: 'share';
      readonly attribute: string;
      readonly among: ValueMatch;
      readonly of: ShareBasis;
      readonly target: number;
      readonly scale: number;
    };

/**
 * Closeness to a character: Σ |mean − target| / scale. Each deviation is weighed by the litres
 * drawn over the litres aimed at, so the measure is linear; within the volume tolerance they agree.
 */
export interface ClosenessAim extends AimBase {
  readonly kind: 'closeness';
  readonly features: readonly CharacterFeature[];
}

/**
 * The target as a goal: so much for each litre and each % vol off the targets of the volume and
 * strength wishes. Without it a least-cost plan sits on the cheap edge of the tolerance.
 */
export interface TargetAim extends AimBase {
  readonly kind: 'target';
  readonly perLitre: number;
  readonly perPercentVol: number;
}

export type Aim =
  CostAim | FutureAim | AtRiskAim | MovementsAim | HeelsAim | ClosenessAim | TargetAim;

export type AimKind = Aim['kind'];
