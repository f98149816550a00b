/**
 * What the planner knows about one attribute of a cask's contents: a word ("oloroso"), a number
 * (fill number, harvest year, a panel's score), or, where the contents come from several origins, a
 * map from value to its share of the cask's ethanol. The shares are ≥ 0 and sum to 1.
 */
export type AttributeValue = string | number | Readonly<Record<string, number>>;

/** Where the cask stands. Casks in the same store, zone and row are reached by opening one row. */
export interface CaskLocation {
  readonly storeCode: string;
  readonly zoneCode?: string;
  readonly row?: string;
  readonly bay?: string;
  readonly level?: string;
  readonly slot?: string;
}

/** How far the forecast of one cask may be off: one standard deviation of each quantity. */
export interface CaskUncertainty {
  readonly bulkLitresSd: number;
  readonly strengthPercentVolSd: number;
  /** Correlation of the two errors within the cask, −1…1; 0 when left out. */
  readonly bulkStrengthCorrelation?: number;
  /** Casks that share a store's weather share part of their error; see `forecastVat`. */
  readonly group?: string;
}

/** One cask that may be drawn from, as forecast to the day of the blend. */
export interface CandidateCask {
  readonly id: string;
  /** Contents in litres at 20 °C, > 0. */
  readonly bulkLitresAt20C: number;
  /** Strength in % vol at 20 °C, 0…100. */
  readonly strengthPercentVol: number;
  readonly uncertainty?: CaskUncertainty;
  /** Age of the youngest spirit in the cask on the day of the blend, in years. */
  readonly ageYears: number;
  /**
   * Whatever the wishes speak of: wood, previous contents, fill number, spirit lot, plot, variety,
   * harvest year, owner, duty status, scores… Names that begin with `location.` are reserved.
   */
  readonly attributes: Readonly<Record<string, AttributeValue>>;
  readonly location?: CaskLocation;
  /** Book cost, in the planner's currency per litre of pure alcohol; ≥ 0. */
  readonly costPerLitrePureAlcohol: number;
  /** What the stock's future loses when the whole cask is used now (same currency); 0 if left out. */
  readonly valueLeftBehind?: number;
  /** Urgency of using the cask, 0 (none) … 1 (will fall under its strength floor); 0 if left out. */
  readonly atRisk?: number;
  /** Why the cask may not be used: quality holds, reservations. Empty or absent = free. */
  readonly holds?: readonly string[];
}
