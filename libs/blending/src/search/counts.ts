import type { LinearModel } from '../solver.ts';
import { rowsOf } from './row-matrix.ts';

const LEAST_MEMBERS = 4;
const MOST_SETS = 40;

/**
 * The model with further whole columns, each the number of columns at 1 in a set: all casks, or those
 * that one row singles out (a lot, a wood, a row of the store).
 *
 * To leave out one cask of many alike changes little, since another takes its place; to take at most
 * four of a lot, or at least five, changes much. So the search may branch on such a number. Sets
 * whose number is whole at `point` already have nothing to be branched on and are left out.
 */
export function withCounts(model: LinearModel, own: LinearModel, point: Float64Array): LinearModel {
  const sets = countedSets(own, point);
  const { columnCount: n, rowCount: m } = model;
  const setsOf: number[][] = Array.from({ length: n }, () => []);
  sets.forEach((set, s) => {
    for (const j of set) setsOf[j]!.push(m + s);
  });
  const starts = [0];
  const indices: number[] = [];
  const values: number[] = [];
  for (let j = 0; j < n; j++) {
    for (let e = model.starts[j]!; e < model.starts[j + 1]!; e++) {
      indices.push(model.indices[e]!);
      values.push(model.values[e]!);
    }
    for (const row of setsOf[j]!) {
      indices.push(row);
      values.push(1);
    }
    starts.push(indices.length);
  }
  sets.forEach((_, s) => {
    indices.push(m + s);
    values.push(-1);
    starts.push(indices.length);
  });
  const zeros = sets.map(() => 0);
  return {
    columnCount: n + sets.length,
    rowCount: m + sets.length,
    columnCost: joined(model.columnCost, zeros),
    columnLower: joined(model.columnLower, zeros),
    columnUpper: joined(
      model.columnUpper,
      sets.map((set) => set.length),
    ),
    rowLower: joined(model.rowLower, zeros),
    rowUpper: joined(model.rowUpper, zeros),
    starts: Int32Array.from(starts),
    indices: Int32Array.from(indices),
    values: Float64Array.from(values),
    integer: Uint8Array.from([...model.integer!, ...sets.map(() => 1)]),
    ...(model.leastDraw && { leastDraw: joined(model.leastDraw, zeros) }),
    ...(model.mostDraw && { mostDraw: joined(model.mostDraw, zeros) }),
  };
}

/** The sets of yes/no columns in the rows of a model, largest first, whose number is not whole. */
function countedSets(model: LinearModel, point: Float64Array): number[][] {
  const isYesNo = (j: number): boolean =>
    model.integer![j] === 1 && model.columnLower[j] === 0 && model.columnUpper[j] === 1;
  const rows = rowsOf(model);
  const sets = new Map<string, number[]>();
  const add = (set: number[]): void => {
    const count = set.reduce((sum, j) => sum + point[j]!, 0);
    if (set.length >= LEAST_MEMBERS && Math.abs(count - Math.round(count)) > 1e-6)
      sets.set(set.join(), set);
  };
  add(Array.from({ length: model.columnCount }, (_, j) => j).filter(isYesNo));
  for (let i = 0; i < model.rowCount; i++) {
    const set: number[] = [];
    for (let e = rows.starts[i]!; e < rows.starts[i + 1]!; e++)
      if (rows.values[e]! > 0 && isYesNo(rows.columns[e]!)) set.push(rows.columns[e]!);
    add(set);
  }
  return [...sets.values()].sort((a, b) => b.length - a.length).slice(0, MOST_SETS);
}

function joined(a: Float64Array, b: readonly number[]): Float64Array {
  const all = new Float64Array(a.length + b.length);
  all.set(a);
  all.set(b, a.length);
  return all;
}
