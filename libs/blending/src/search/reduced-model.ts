import type { LinearModel } from '../solver.ts';

/** A model without its fixed columns and without rows that nothing can break. */
export interface ReducedModel {
  readonly model: LinearModel;
  /** Columns of the original that are left. */
  readonly columns: Int32Array;
  /** Objective of the columns that are gone. */
  readonly offset: number;
  /** A row that cannot be met within the bounds. */
  readonly infeasible: boolean;
}

/** Values of all original columns from those of the reduced model and those that dropped out. */
export function expand(
  reduced: ReducedModel,
  droppedAt: Float64Array,
  values: Float64Array,
): Float64Array {
  const all = droppedAt.slice();
  reduced.columns.forEach((j, k) => (all[j] = values[k]!));
  return all;
}

/**
 * Leaves out what cannot matter. A row stays when the bounds of its columns allow an activity
 * outside its limits.
 *
 * @param lower @param upper bounds to use instead of the model's own, for a part of a search
 */
export function reduceModel(
  model: LinearModel,
  lower: Float64Array = model.columnLower,
  upper: Float64Array = model.columnUpper,
): ReducedModel {
  const columns: number[] = [];
  const rowLower = model.rowLower.slice();
  const rowUpper = model.rowUpper.slice();
  const least = new Float64Array(model.rowCount);
  const most = new Float64Array(model.rowCount);
  const size = new Float64Array(model.rowCount).fill(1);
  let offset = 0;
  for (let j = 0; j < model.columnCount; j++) {
    const low = lower[j]!;
    const high = upper[j]!;
    const fixed = low === high;
    if (fixed) offset += model.columnCost[j]! * low;
    else columns.push(j);
    for (let e = model.starts[j]!; e < model.starts[j + 1]!; e++) {
      const i = model.indices[e]!;
      const v = model.values[e]!;
      size[i] = Math.max(size[i]!, Math.abs(v));
      if (fixed) {
        rowLower[i]! -= v * low;
        rowUpper[i]! -= v * low;
      } else {
        least[i]! += v > 0 ? v * low : v * high;
        most[i]! += v > 0 ? v * high : v * low;
      }
    }
  }
  const place = new Int32Array(model.rowCount).fill(-1);
  let rowCount = 0;
  let infeasible = false;
  for (let i = 0; i < model.rowCount; i++) {
    const slack = 1e-9 * size[i]!;
    if (least[i]! > rowUpper[i]! + 1e3 * slack || most[i]! < rowLower[i]! - 1e3 * slack)
      infeasible = true;
    if (least[i]! < rowLower[i]! - slack || most[i]! > rowUpper[i]! + slack) place[i] = rowCount++;
  }
  const starts = new Int32Array(columns.length + 1);
  const indices: number[] = [];
  const values: number[] = [];
  columns.forEach((j, k) => {
    for (let e = model.starts[j]!; e < model.starts[j + 1]!; e++) {
      const to = place[model.indices[e]!]!;
      if (to < 0) continue;
      indices.push(to);
      values.push(model.values[e]!);
    }
    starts[k + 1] = indices.length;
  });
  const kept = (limits: Float64Array): Float64Array => limits.filter((_, i) => place[i]! >= 0);
  const pick = (from: Float64Array): Float64Array => Float64Array.from(columns, (j) => from[j]!);
  return {
    columns: Int32Array.from(columns),
    offset,
    infeasible,
    model: {
      columnCount: columns.length,
      rowCount,
      columnCost: pick(model.columnCost),
      columnLower: pick(lower),
      columnUpper: pick(upper),
      rowLower: kept(rowLower),
      rowUpper: kept(rowUpper),
      starts,
      indices: Int32Array.from(indices),
      values: Float64Array.from(values),
      integer: model.integer && Uint8Array.from(columns, (j) => model.integer![j]!),
      ...(model.leastDraw && { leastDraw: pick(model.leastDraw) }),
      ...(model.mostDraw && { mostDraw: pick(model.mostDraw) }),
    },
  };
}
