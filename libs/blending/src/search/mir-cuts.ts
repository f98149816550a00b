import type { LinearModel } from '../solver.ts';
import { rowsOf, type RowMatrix } from './row-matrix.ts';

/** Σ values·x[columns] ≤ upper, true for every whole solution of the model. */
export interface Cut {
  readonly columns: Int32Array;
  readonly values: Float64Array;
  readonly upper: number;
  /** Distance of the relaxation's point from the cut. */
  readonly efficacy: number;
}

/** The relaxation's optimum as cut separation needs it. */
export interface RelaxedPoint {
  readonly x: Float64Array;
  /** Multipliers on the rows that give tableau rows of fractional columns, dense. */
  readonly tableauMultipliers: readonly Float64Array[];
}

const LEAST_FRACTION = 0.02;
const LEAST_EFFICACY = 1e-4;

/**
 * Mixed-integer rounding cuts from single rows, from rows with a continuous total eliminated, and
 * from tableau rows (the last are Gomory's mixed-integer cuts).
 * Source: Marchand & Wolsey, "Aggregation and mixed integer rounding to solve MIPs" (2001).
 */
export class MirSeparator {
  readonly #model: LinearModel;
  readonly #rows: RowMatrix;
  readonly #coefficient: Float64Array;
  readonly #multiplier: Float64Array;

  constructor(model: LinearModel) {
    this.#model = model;
    this.#rows = rowsOf(model);
    this.#coefficient = new Float64Array(model.columnCount);
    this.#multiplier = new Float64Array(model.rowCount);
  }

  /** @param shouldStop asked at every row: what was found until then is returned */
  separate(point: RelaxedPoint, shouldStop: () => boolean): Cut[] {
    const cuts: Cut[] = [];
    const { rowCount } = this.#model;
    const tryBoth = (multiplier: Float64Array): void => {
      for (const sign of [1, -1]) {
        const cut = this.#round(multiplier, sign, point.x);
        if (cut) cuts.push(cut);
      }
    };
    const multiplier = this.#multiplier;
    for (let i = 0; i < rowCount && !shouldStop(); i++) {
      multiplier.fill(0);
      multiplier[i] = 1;
      tryBoth(multiplier);
      for (const [row, factor] of this.#eliminations(i, point.x)) {
        multiplier.fill(0);
        multiplier[i] = 1;
        multiplier[row] = factor;
        tryBoth(multiplier);
      }
    }
    for (const tableau of point.tableauMultipliers) if (!shouldStop()) tryBoth(tableau);
    return cuts;
  }

  /** Equations whose multiples remove a continuous column that row `i` holds strictly inside. */
  #eliminations(i: number, x: Float64Array): [row: number, factor: number][] {
    const model = this.#model;
    const found: [number, number][] = [];
    for (let e = this.#rows.starts[i]!; e < this.#rows.starts[i + 1]!; e++) {
      const j = this.#rows.columns[e]!;
      if (model.integer![j]) continue;
      if (x[j]! <= model.columnLower[j]! + 1e-9 || x[j]! >= model.columnUpper[j]! - 1e-9) continue;
      for (let k = model.starts[j]!; k < model.starts[j + 1]!; k++) {
        const row = model.indices[k]!;
        if (row === i || model.rowLower[row] !== model.rowUpper[row]) continue;
        found.push([row, -this.#rows.values[e]! / model.values[k]!]);
      }
    }
    return found;
  }

  /** The best rounding of sign · Σ multiplier·(row − logical) = 0, or null when none is violated. */
  #round(multiplier: Float64Array, sign: number, x: Float64Array): Cut | null {
    const model = this.#model;
    const a = this.#coefficient.fill(0);
    const continuous: Continuous[] = [];
    let rhs = 0;
    for (let i = 0; i < model.rowCount; i++) {
      const lambda = sign * multiplier[i]!;
      if (lambda === 0) continue;
      let activity = 0;
      for (let e = this.#rows.starts[i]!; e < this.#rows.starts[i + 1]!; e++) {
        const j = this.#rows.columns[e]!;
        a[j]! += lambda * this.#rows.values[e]!;
        activity += this.#rows.values[e]! * x[j]!;
      }
      const low = model.rowLower[i]!;
      const high = model.rowUpper[i]!;
      if (low === high) {
        rhs += lambda * low;
        continue;
      }
      const entry = substitute(-lambda, activity, low, high, -1 - i);
      if (!entry) return null;
      rhs -= entry.shift;
      continuous.push(entry);
    }
    const integers: Whole[] = [];
    for (let j = 0; j < model.columnCount; j++) {
      const value = a[j]!;
      if (Math.abs(value) < 1e-12) continue;
      const low = model.columnLower[j]!;
      const high = model.columnUpper[j]!;
      if (low === high) rhs -= value * low;
      else if (!model.integer![j]) {
        const entry = substitute(value, x[j]!, low, high, j);
        if (!entry) return null;
        rhs -= entry.shift;
        continuous.push(entry);
      } else if (x[j]! > (low + high) / 2) {
        rhs -= value * high;
        integers.push({ column: j, value: -value, x: high - x[j]!, complemented: true });
      } else {
        rhs -= value * low;
        integers.push({ column: j, value, x: x[j]! - low, complemented: false });
      }
    }
    const divisor = bestDivisor(integers, continuous, rhs);
    return divisor === null ? null : this.#cutFrom(integers, continuous, rhs, divisor, x);
  }

  #cutFrom(
    integers: readonly Whole[],
    continuous: readonly Continuous[],
    rhs: number,
    divisor: number,
    x: Float64Array,
  ): Cut | null {
    const model = this.#model;
    const pi = this.#coefficient.fill(0);
    const beta = rhs / divisor;
    const f0 = beta - Math.floor(beta);
    let upper = Math.floor(beta);
    for (const { column, value, complemented } of integers) {
      const g = rounded(value / divisor, f0);
      if (complemented) {
        pi[column]! -= g;
        upper -= g * model.columnUpper[column]!;
      } else {
        pi[column]! += g;
        upper += g * model.columnLower[column]!;
      }
    }
    for (const { index, value, atUpper, limit } of continuous) {
      if (value >= 0) continue;
      const g = value / divisor / (1 - f0);
      // t = v − limit or limit − v; a logical's v is its row's activity.
      const onV = atUpper ? -g : g;
      upper += onV * limit;
      if (index >= 0) pi[index]! += onV;
      else {
        const i = -1 - index;
        for (let e = this.#rows.starts[i]!; e < this.#rows.starts[i + 1]!; e++)
          pi[this.#rows.columns[e]!]! += onV * this.#rows.values[e]!;
      }
    }
    return this.#cleaned(pi, upper, x);
  }

  #cleaned(pi: Float64Array, upper: number, x: Float64Array): Cut | null {
    const model = this.#model;
    let largest = 0;
    for (const v of pi) largest = Math.max(largest, Math.abs(v));
    if (!(largest > 1e-9 && largest < 1e9)) return null;
    const columns: number[] = [];
    const values: number[] = [];
    let activity = 0;
    let norm = 0;
    for (let j = 0; j < pi.length; j++) {
      const v = pi[j]!;
      if (v === 0) continue;
      if (Math.abs(v) < 1e-7 * largest) {
        const bound = v > 0 ? model.columnLower[j]! : model.columnUpper[j]!;
        if (!Number.isFinite(bound)) return null;
        upper -= v * bound;
        continue;
      }
      columns.push(j);
      values.push(v);
      activity += v * x[j]!;
      norm += v * v;
    }
    norm = Math.sqrt(norm);
    upper += 1e-9 * (largest + Math.abs(upper));
    const efficacy = (activity - upper) / norm;
    if (!(efficacy > LEAST_EFFICACY)) return null;
    return {
      columns: Int32Array.from(columns),
      values: Float64Array.from(values, (v) => v / norm),
      upper: upper / norm,
      efficacy,
    };
  }
}

/** A whole column, counted from its nearer bound. */
interface Whole {
  readonly column: number;
  readonly value: number;
  readonly x: number;
  readonly complemented: boolean;
}

/** A continuous quantity t ≥ 0 measured from one of its limits; index < 0 stands for row −1 − index. */
interface Continuous {
  readonly index: number;
  readonly value: number;
  readonly t: number;
  readonly atUpper: boolean;
  readonly limit: number;
  readonly shift: number;
}

function substitute(
  value: number,
  x: number,
  low: number,
  high: number,
  index: number,
): Continuous | null {
  const atUpper = high - x < x - low;
  const limit = atUpper ? high : low;
  if (!Number.isFinite(limit)) return null;
  return {
    index,
    value: atUpper ? -value : value,
    t: Math.max(0, atUpper ? high - x : x - low),
    atUpper,
    limit,
    shift: value * limit,
  };
}

function rounded(value: number, f0: number): number {
  const floor = Math.floor(value);
  return floor + Math.max(0, value - floor - f0) / (1 - f0);
}

function bestDivisor(
  integers: readonly Whole[],
  continuous: readonly Continuous[],
  rhs: number,
): number | null {
  const sizes = new Set<number>();
  for (const { value, x } of integers) {
    if (x > 1e-6 && sizes.size < 12) sizes.add(Math.abs(value));
  }
  let best: number | null = null;
  let bestEfficacy = LEAST_EFFICACY;
  const consider = (divisor: number): void => {
    const efficacy = efficacyOf(integers, continuous, rhs, divisor);
    if (efficacy > bestEfficacy * 1.0001) {
      bestEfficacy = efficacy;
      best = divisor;
    }
  };
  for (const size of sizes) if (size > 1e-9) consider(size);
  if (best !== null) for (const part of [2, 4, 8]) consider((best as number) / part);
  return best;
}

function efficacyOf(
  integers: readonly Whole[],
  continuous: readonly Continuous[],
  rhs: number,
  divisor: number,
): number {
  const beta = rhs / divisor;
  const f0 = beta - Math.floor(beta);
  if (f0 < LEAST_FRACTION || f0 > 1 - LEAST_FRACTION) return 0;
  let violation = -Math.floor(beta);
  let norm = 0;
  for (const { value, x } of integers) {
    const g = rounded(value / divisor, f0);
    violation += g * x;
    norm += g * g;
  }
  for (const { value, t } of continuous) {
    if (value >= 0) continue;
    const g = value / divisor / (1 - f0);
    violation += g * t;
    norm += g * g;
  }
  return norm > 0 ? violation / Math.sqrt(norm) : 0;
}
