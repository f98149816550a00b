import type { LinearModel } from '../solver.ts';
import { DualSimplex } from './dual-simplex.ts';
import type { Cut } from './mir-cuts.ts';
import { linksOf } from './link-cuts.ts';
import { rowsOf } from './row-matrix.ts';

/** Steps into which a capacity is divided; weights are rounded down to them, so cuts stay valid. */
const STEPS = 2048;
/** Columns whose coefficients are sought exactly, one bit each; the others are lifted. */
const MOST_SOUGHT = 30;
const MOST_SETS = 60;
const MOST_ROUNDS = 40;
const LEAST_VIOLATION = 1e-3;

/** Σ weight·x ≤ capacity·y over yes/no columns; y = −1 stands for 1. */
interface Knapsack {
  readonly columns: readonly number[];
  /** In steps of the capacity. */
  readonly weights: readonly number[];
  readonly y: number;
  /** Sets of its columns that fit, as found so far, each by place among `columns`. */
  readonly sets: Set<number>[];
}

/**
 * Cuts that hold for every set of casks that fits under a cap: facets of the knapsack that a row
 * (mostly: no lot above so much of the alcohol) lays on its casks, and of its part in one row of the
 * store, times that row's yes/no column. Coefficients of the columns in use are sought exactly, by
 * growing the list of sets that fit; the rest follow by sequential lifting.
 * Sources: Boccia, Sforza, Sterle & Vasilyev, "A cut and branch approach for the capacitated p-median
 * problem based on Fenchel cutting planes" (2008); Zemel, "Easily computable facets of the knapsack
 * polytope" (1989).
 */
export class KnapsackSeparator {
  readonly #knapsacks: Knapsack[];

  constructor(model: LinearModel) {
    this.#knapsacks = knapsacksOf(model);
  }

  separate(x: Float64Array, reducedCosts: Float64Array): Cut[] {
    const cuts: Cut[] = [];
    for (const knapsack of this.#knapsacks) {
      const cut = separateOne(knapsack, x, reducedCosts);
      if (cut) cuts.push(cut);
    }
    return cuts;
  }
}

/** Rows that say Σ a·x ≤ b with a > 0 over yes/no columns, whatever their other columns do. */
function knapsacksOf(model: LinearModel): Knapsack[] {
  const rows = rowsOf(model);
  const { integer, columnLower, columnUpper } = model;
  const groupOf = new Map(linksOf(model).map(({ x, y }) => [x, y]));
  const found: Knapsack[] = [];
  for (let i = 0; i < model.rowCount; i++) {
    let capacity = model.rowUpper[i]!;
    const columns: number[] = [];
    const weights: number[] = [];
    for (let e = rows.starts[i]!; e < rows.starts[i + 1]!; e++) {
      const j = rows.columns[e]!;
      const a = rows.values[e]!;
      if (integer![j] === 1 && columnLower[j] === 0 && columnUpper[j] === 1 && a > 0) {
        columns.push(j);
        weights.push(a);
      } else capacity -= a > 0 ? a * columnLower[j]! : a * columnUpper[j]!;
    }
    if (!(capacity > 0 && Number.isFinite(capacity)) || columns.length < 3) continue;
    const add = (places: readonly number[], y: number): void => {
      const total = places.reduce((sum, k) => sum + weights[k]!, 0);
      if (total <= capacity || places.length < 3) return;
      found.push({
        columns: places.map((k) => columns[k]!),
        weights: places.map((k) => Math.floor(((weights[k]! * STEPS) / capacity) * (1 - 1e-9))),
        y,
        sets: [],
      });
    };
    add([...columns.keys()], -1);
    const byGroup = new Map<number, number[]>();
    columns.forEach((j, k) => {
      const y = groupOf.get(j);
      if (y !== undefined) byGroup.set(y, [...(byGroup.get(y) ?? []), k]);
    });
    for (const [y, places] of byGroup) add(places, y);
  }
  return found;
}

function separateOne(knapsack: Knapsack, x: Float64Array, reducedCosts: Float64Array): Cut | null {
  const { columns, weights, y, sets } = knapsack;
  const right = y < 0 ? 1 : x[y]!;
  const used = [...columns.keys()]
    .filter((k) => x[columns[k]!]! > 1e-6 && weights[k]! <= STEPS)
    .sort((a, b) => x[columns[b]!]! - x[columns[a]!]!)
    .slice(0, MOST_SOUGHT);
  if (right < 1e-6 || used.reduce((sum, k) => sum + weights[k]!, 0) <= STEPS) return null;
  const point = used.map((k) => x[columns[k]!]!);
  let pi: Float64Array;
  for (let round = 0; ; round++) {
    if (round > MOST_ROUNDS) return null;
    pi = bestCoefficients(used, point, sets);
    const left = pi.reduce((sum, p, k) => sum + p * point[k]!, 0);
    if (left <= right + LEAST_VIOLATION) return null;
    const { most, set } = heaviest(used, weights, pi);
    if (most <= 1 + 1e-6) break;
    sets.push(set);
    if (sets.length > MOST_SETS) sets.shift();
  }
  return liftedCut(knapsack, used, pi, x, reducedCosts);
}

/** max π·point over 0 ≤ π ≤ 1 with π(S) ≤ 1 for the sets known to fit. */
function bestCoefficients(
  used: readonly number[],
  point: readonly number[],
  sets: readonly Set<number>[],
): Float64Array {
  const starts = [0];
  const indices: number[] = [];
  for (const k of used) {
    sets.forEach((set, s) => {
      if (set.has(k)) indices.push(s);
    });
    starts.push(indices.length);
  }
  const simplex = new DualSimplex({
    columnCount: used.length,
    rowCount: sets.length,
    columnCost: Float64Array.from(point, (v) => -v),
    columnLower: new Float64Array(used.length),
    columnUpper: new Float64Array(used.length).fill(1),
    rowLower: new Float64Array(sets.length).fill(-Infinity),
    rowUpper: new Float64Array(sets.length).fill(1),
    starts: Int32Array.from(starts),
    indices: Int32Array.from(indices),
    values: new Float64Array(indices.length).fill(1),
    integer: null,
  });
  simplex.solve(Infinity, 1000);
  return simplex.x.slice(0, used.length);
}

/** The set that fits and has the largest sum of coefficients. */
function heaviest(
  used: readonly number[],
  weights: readonly number[],
  pi: Float64Array,
): { most: number; set: Set<number> } {
  const best = new Float64Array(STEPS + 1);
  const chosen = new Int32Array(STEPS + 1);
  used.forEach((k, bit) => {
    const weight = weights[k]!;
    const gain = pi[bit]!;
    if (gain <= 0) return;
    for (let room = STEPS; room >= weight; room--)
      if (best[room - weight]! + gain > best[room]!) {
        best[room] = best[room - weight]! + gain;
        chosen[room] = chosen[room - weight]! | (1 << bit);
      }
  });
  // Columns without a coefficient that fit beside make the set say more.
  const set = new Set(used.filter((_, bit) => (chosen[STEPS]! >> bit) & 1));
  let room = STEPS;
  for (const k of set) room -= weights[k]!;
  for (const k of used)
    if (!set.has(k) && weights[k]! <= room) {
      set.add(k);
      room -= weights[k]!;
    }
  return { most: best[STEPS]!, set };
}

function liftedCut(
  { columns, weights, y }: Knapsack,
  used: readonly number[],
  pi: Float64Array,
  x: Float64Array,
  reducedCosts: Float64Array,
): Cut | null {
  const best = new Float64Array(STEPS + 1);
  const add = (weight: number, gain: number): void => {
    for (let room = STEPS; room >= weight; room--)
      best[room] = Math.max(best[room]!, best[room - weight]! + gain);
  };
  const coefficient = new Map<number, number>();
  used.forEach((k, bit) => {
    if (pi[bit]! < 1e-9) return;
    coefficient.set(columns[k]!, pi[bit]!);
    add(weights[k]!, pi[bit]!);
  });
  const right = best[STEPS]!;
  const others = [...columns.keys()]
    .filter((k) => !coefficient.has(columns[k]!))
    .sort((a, b) => Math.abs(reducedCosts[columns[a]!]!) - Math.abs(reducedCosts[columns[b]!]!));
  for (const k of others) {
    const weight = weights[k]!;
    const gain = weight > STEPS ? right : right - best[STEPS - weight]!;
    if (gain < 1e-9) continue;
    coefficient.set(columns[k]!, gain);
    if (weight <= STEPS) add(weight, gain);
  }
  // With y: Σ π·x ≤ right·y, for where y is 0 so is every x.
  if (y >= 0) coefficient.set(y, -right);
  const entries = [...coefficient].sort(([a], [b]) => a - b);
  const norm = Math.hypot(...entries.map(([, v]) => v));
  const upper = y < 0 ? right : 0;
  const activity = entries.reduce((sum, [j, v]) => sum + v * x[j]!, 0);
  const efficacy = (activity - upper) / norm;
  if (efficacy < 1e-4) return null;
  return {
    columns: Int32Array.from(entries, ([j]) => j),
    values: Float64Array.from(entries, ([, v]) => v / norm),
    upper: upper / norm + 1e-9,
    efficacy,
  };
}
