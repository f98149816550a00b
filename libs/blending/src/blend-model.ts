/**
 * The whole problem as a mixed-integer model, kept apart from any solver so that parts of it can be
 * handed over: all casks, or a few hundred with the rest fixed.
 *
 * Every eligible cask is a block. Its draw is a fraction f of the contents; `opened` is 1 when f > 0.
 * Rows and costs are linear in f and opened, so one pair of sparse columns describes a block however
 * it may be drawn (whole: f = opened; part: least ≤ f ≤ most).
 */
export interface BlendModel {
  readonly blocks: Blocks;
  readonly rows: Rows;
  /** Row coefficients of each block per unit of fraction drawn, and when opened. */
  readonly perFraction: SparseColumns;
  readonly perOpened: SparseColumns;
  readonly globals: readonly GlobalColumn[];
  readonly families: readonly Family[];
  readonly levels: readonly Level[];
  /** Row that counts the casks drawn in part, or −1. */
  readonly partCountRow: number;
  /** Where to find totals among the globals. */
  readonly lpaColumn: number;
  readonly massColumn: number;
  readonly waterColumn: number;
  /** How far the rows of the wish with slack are broken, in the rows' unit. */
  readonly slackColumns: readonly number[];
}

export interface Blocks {
  readonly count: number;
  /** Index of the cask among the candidates. */
  readonly cask: Int32Array;
  /** May be emptied / may be drawn in part (1 or 0). */
  readonly whole: Uint8Array;
  readonly part: Uint8Array;
  /** Limits of the fraction of a part draw. */
  readonly leastPart: Float64Array;
  readonly mostPart: Float64Array;
  /** 1 = the cask must be opened. */
  readonly mustOpen: Uint8Array;
  readonly litres: Float64Array;
}

export interface Rows {
  readonly lower: Float64Array;
  readonly upper: Float64Array;
  /** The wish behind each row; null for definitions. */
  readonly wishId: readonly (string | null)[];
}

export interface SparseColumns {
  readonly starts: Int32Array;
  readonly rows: Int32Array;
  readonly values: Float64Array;
}

export interface GlobalColumn {
  readonly name: string;
  readonly lower: number;
  readonly upper: number;
  readonly integer: boolean;
  readonly entries: readonly (readonly [row: number, value: number])[];
}

/**
 * A family of yes/no columns y_v, one for each value of an attribute (each row of the store, each
 * plot). `cap`: opened ≤ y_v for every cask of the value, where values are capped in number or cost
 * something. `floor`: y_v ≤ Σ opened of the value, where at least so many values are wanted.
 */
export interface Family {
  readonly kind: 'cap' | 'floor';
  readonly attribute: string;
  readonly values: readonly string[];
  /** Blocks of each value, compressed. */
  readonly starts: Int32Array;
  readonly members: Int32Array;
  /** Row that counts the y's, or −1. */
  readonly countRow: number;
}

/** One level of the aims, minimised. */
export interface Level {
  readonly priority: number;
  readonly perFraction: Float64Array;
  readonly perOpened: Float64Array;
  /** Cost of each litre left behind in a cask drawn in part. */
  readonly perHeelLitre: number;
  readonly perGlobal: Float64Array;
  /** Cost of each opened value, by family. */
  readonly perValue: Float64Array;
}
