/** A linear or mixed-integer model in compressed columns. Minimised. ±Infinity = no bound. */
export interface LinearModel {
  readonly columnCount: number;
  readonly rowCount: number;
  readonly columnCost: Float64Array;
  readonly columnLower: Float64Array;
  readonly columnUpper: Float64Array;
  readonly rowLower: Float64Array;
  readonly rowUpper: Float64Array;
  readonly starts: Int32Array;
  readonly indices: Int32Array;
  readonly values: Float64Array;
  /** 1 = integer column; null = a linear program. */
  readonly integer: Uint8Array | null;
  /**
   * Draws in part, for our own search only: a column whose most is above 0 is 0, between its least and
   * its most, or 1. Other solvers get models that say so by yes/no columns.
   */
  readonly leastDraw?: Float64Array;
  readonly mostDraw?: Float64Array;
}

export interface SolveOptions {
  readonly timeLimitSeconds: number;
  /** Stop when (value − bound)/|value| is at most this. */
  readonly relativeGap?: number;
  readonly absoluteGap?: number;
  /** A start for a mixed-integer model: one value a column. */
  readonly start?: Float64Array;
  /** Wanted only when a plan better than this exists. */
  readonly cutoff?: number;
  readonly seed?: number;
  /** Share of the effort spent on finding plans, 0…1. */
  readonly heuristicEffort?: number;
  readonly maxNodes?: number;
  readonly onProgress?: (value: number | null, bound: number | null) => void;
  readonly onIncumbent?: (values: Float64Array, value: number) => void;
  readonly shouldStop?: () => boolean;
}

export type SolveOutcome = {
  /** `limit`: time, nodes or `shouldStop`; there may be values all the same. */
  readonly status: 'optimal' | 'infeasible' | 'unbounded' | 'limit' | 'failed';
  readonly message: string;
  readonly value: number | null;
  readonly bound: number | null;
  readonly columnValues: Float64Array | null;
  /** Linear programs only. */
  readonly rowDuals: Float64Array | null;
};

/** A solver that is loaded and ready. Calls are synchronous. */
export interface SolverPort {
  readonly name: string;
  solve(model: LinearModel, options: SolveOptions): SolveOutcome;
}
