/** Which values of an attribute are meant: any of a list, or numbers in a range (ends included). */
export interface ValueMatch {
  readonly values?: readonly (string | number)[];
  readonly from?: number;
  readonly to?: number;
}

/**
 * Shares are taken of the litres of pure alcohol that leave the casks, or of the bulk litres at
 * 20 °C that leave them (before water).
 */
export type ShareBasis = 'lpa' | 'bulk';

interface WishBase {
  /** Names the wish in results; unique within the problem. */
  readonly id: string;
  /** The planner's own words for it; otherwise the library words it. */
  readonly words?: string;
  /** A firm wish is named in a conflict, but no relaxation of it is sought. */
  readonly firm?: boolean;
}

/** Vat volume in litres at 20 °C, after water. Exactly one per problem. */
export interface VolumeWish extends WishBase {
  readonly kind: 'volume';
  readonly lowLitresAt20C: number;
  readonly highLitresAt20C: number;
  /** What a `target` aim steers to; the middle of the window when left out. */
  readonly targetLitresAt20C?: number;
}

/** Vat strength in % vol at 20 °C, after water. Exactly one per problem. */
export interface StrengthWish extends WishBase {
  readonly kind: 'strength';
  readonly lowPercentVol: number;
  readonly highPercentVol: number;
  readonly targetPercentVol?: number;
}

/** Reducing water, litres at 20 °C. Without this wish any amount may be used; 0 = cask strength. */
export interface WaterWish extends WishBase {
  readonly kind: 'water';
  readonly leastLitresAt20C?: number;
  readonly mostLitresAt20C: number;
}

/**
 * How casks are drawn. `whole`: emptied or left alone (also the rule when no take wish is given).
 * `part`: drawn from, never emptied. `either`: both.
 */
export interface TakeWish extends WishBase {
  readonly kind: 'take';
  readonly mode: 'whole' | 'part' | 'either';
  /** A part draw takes at least this much; 0 when left out. */
  readonly leastPartLitresAt20C?: number;
  /** A part draw leaves at least this much in the cask; 0 when left out. */
  readonly leastHeelLitresAt20C?: number;
  readonly mostPartCasks?: number;
}

/** Age of every cask used, years. */
export interface AgeWish extends WishBase {
  readonly kind: 'age';
  readonly leastYears?: number;
  readonly mostYears?: number;
}

/** Mean age of the blend, weighted by litres of pure alcohol, years. */
export interface MeanAgeWish extends WishBase {
  readonly kind: 'mean-age';
  readonly leastYears?: number;
  readonly mostYears?: number;
}

/** Strength of every cask used, % vol. */
export interface CaskStrengthWish extends WishBase {
  readonly kind: 'cask-strength';
  readonly leastPercentVol?: number;
  readonly mostPercentVol?: number;
}

/** Floor and cap on the share that matches; 0…1. */
export interface ShareWish extends WishBase {
  readonly kind: 'share';
  readonly attribute: string;
  readonly among: ValueMatch;
  readonly of: ShareBasis;
  readonly floor?: number;
  readonly cap?: number;
}

/** No single value of the attribute gives more than `cap` (0…1) of the blend. */
export interface EachShareWish extends WishBase {
  readonly kind: 'each-share';
  readonly attribute: string;
  readonly of: ShareBasis;
  readonly cap: number;
}

/** How many distinct values of the attribute the blend has. */
export interface DistinctWish extends WishBase {
  readonly kind: 'distinct';
  readonly attribute: string;
  readonly atLeast?: number;
  readonly atMost?: number;
  /** For `atLeast`, a value counts only from this share of the LPA on; 0 (any trace) if left out. */
  readonly leastShareOfLpa?: number;
}

/** Only casks whose attribute matches wholly / does not match at all. */
export interface OnlyWish extends WishBase {
  readonly kind: 'only';
  readonly attribute: string;
  readonly among: ValueMatch;
}
export interface NoneWish extends WishBase {
  readonly kind: 'none';
  readonly attribute: string;
  readonly among: ValueMatch;
}

/** These casks are in (at least in part) / out. */
export interface IncludeWish extends WishBase {
  readonly kind: 'include';
  readonly caskIds: readonly string[];
}
export interface ExcludeWish extends WishBase {
  readonly kind: 'exclude';
  readonly caskIds: readonly string[];
}

/** At least so many of these casks stay out: a plan that differs from another one. */
export interface DifferWish extends WishBase {
  readonly kind: 'differ';
  readonly caskIds: readonly string[];
  readonly byAtLeast: number;
}

/** Casks with any hold stay out unless every hold of theirs is admitted here. */
export interface HoldsWish extends WishBase {
  readonly kind: 'holds';
  readonly admit: readonly string[];
}

/** Mean of a numeric attribute (a panel's score, a laboratory figure), weighted by LPA or bulk. */
export interface ScoreWish extends WishBase {
  readonly kind: 'score';
  readonly attribute: string;
  readonly of: ShareBasis;
  readonly low?: number;
  readonly high?: number;
}

/** How many casks are opened. */
export interface CaskCountWish extends WishBase {
  readonly kind: 'cask-count';
  readonly atLeast?: number;
  readonly atMost?: number;
}

/** How many rows (store + zone + row) are opened. */
export interface RowCountWish extends WishBase {
  readonly kind: 'row-count';
  readonly atLeast?: number;
  readonly atMost?: number;
}

/** Cost of the casks drawn stays within a budget (currency of the candidates). */
export interface BudgetWish extends WishBase {
  readonly kind: 'budget';
  readonly mostCost: number;
}

export type Wish =
  | VolumeWish
  | StrengthWish
  | WaterWish
  | TakeWish
  | AgeWish
  | MeanAgeWish
  | CaskStrengthWish
  | ShareWish
  | EachShareWish
  | DistinctWish
  | OnlyWish
  | NoneWish
  | IncludeWish
  | ExcludeWish
  | DifferWish
  | HoldsWish
  | ScoreWish
  | CaskCountWish
  | RowCountWish
  | BudgetWish;

export type WishKind = Wish['kind'];
