import type { AimKind } from './aim.ts';
import type { WishKind } from './wish.ts';

/** What is drawn from one cask. */
export interface PlannedDraw {
  readonly caskId: string;
  /** Fraction of the contents drawn, 0 < fraction ≤ 1. */
  readonly fraction: number;
  readonly whole: boolean;
  readonly bulkLitresAt20C: number;
  readonly litresPureAlcohol: number;
  readonly ethanolKg: number;
  readonly waterKg: number;
  /** What stays behind, litres at 20 °C. */
  readonly heelLitresAt20C: number;
}

/** The liquid in the vat after reduction. */
export interface PlannedVat {
  readonly bulkLitresAt20C: number;
  readonly strengthPercentVol: number;
  readonly litresPureAlcohol: number;
  readonly ethanolKg: number;
  readonly waterKg: number;
}

/** What a plan makes of one wish. */
export interface WishOutcome {
  readonly wishId: string;
  readonly kind: WishKind;
  readonly words: string;
  readonly met: boolean;
  /** The figure the wish is about, in its unit; several for `each-share` (the largest is given). */
  readonly figure: number;
  readonly unit: string;
  /** Nearest limit minus figure, signed so that ≥ 0 is inside; null when there is no limit. */
  readonly slack: number | null;
}

export interface AimOutcome {
  readonly kind: AimKind;
  readonly priority: number;
  readonly weight: number;
  /** In the aim's own unit; for `at-risk` the amount used (more is better). */
  readonly figure: number;
  readonly unit: string;
}

/** One level of the aims: value reached and the value no plan can beat. Smaller is better. */
export interface LevelOutcome {
  readonly priority: number;
  readonly value: number;
  readonly bound: number;
  /** (value − bound) / max(|value|, 1e-9). */
  readonly relativeGap: number;
}

/** Litres and share of one value of an attribute. */
export interface AttributeShare {
  readonly value: string;
  readonly shareOfLpa: number;
  readonly shareOfBulk: number;
}

export interface BlendPlan {
  readonly draws: readonly PlannedDraw[];
  readonly water: { readonly litresAt20C: number; readonly kg: number };
  readonly vat: PlannedVat;
  readonly ages: {
    readonly youngestYears: number;
    readonly oldestYears: number;
    readonly meanYearsByLpa: number;
  };
  readonly cost: number;
  /** Shares by every attribute that is not a plain score, largest first. */
  readonly shares: Readonly<Record<string, readonly AttributeShare[]>>;
  readonly rowsOpened: readonly string[];
  readonly wishes: readonly WishOutcome[];
  readonly aims: readonly AimOutcome[];
}
