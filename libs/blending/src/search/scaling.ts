import type { LinearModel } from '../solver.ts';

/** A model whose coefficients are near 1, and how to read its columns in the units of the original. */
export interface ScaledModel {
  readonly model: LinearModel;
  /** Original value = scaled value · factor; 1 for integer columns and draws. */
  readonly columnFactor: Float64Array;
}

/**
 * Divides each continuous column by the size of its range and each row by its largest coefficient,
 * by powers of two so that no digit is lost.
 */
export function scaled(model: LinearModel): ScaledModel {
  const n = model.columnCount;
  const columnFactor = new Float64Array(n).fill(1);
  const values = model.values.slice();
  const cost = model.columnCost.slice();
  const lower = model.columnLower.slice();
  const upper = model.columnUpper.slice();
  for (let j = 0; j < n; j++) {
    if (model.integer?.[j] === 1 || (model.mostDraw?.[j] ?? 0) > 0) continue;
    const size = Math.max(finiteSize(lower[j]!), finiteSize(upper[j]!));
    if (size === 0) continue;
    const factor = powerOfTwo(size);
    columnFactor[j] = factor;
    cost[j]! *= factor;
    lower[j]! /= factor;
    upper[j]! /= factor;
    for (let e = model.starts[j]!; e < model.starts[j + 1]!; e++) values[e]! *= factor;
  }
  const largest = new Float64Array(model.rowCount);
  for (let e = 0; e < values.length; e++)
    largest[model.indices[e]!] = Math.max(largest[model.indices[e]!]!, Math.abs(values[e]!));
  const rowFactor = largest.map((size) => (size > 0 ? powerOfTwo(size) : 1));
  for (let e = 0; e < values.length; e++) values[e]! /= rowFactor[model.indices[e]!]!;
  return {
    columnFactor,
    model: {
      ...model,
      columnCost: cost,
      columnLower: lower,
      columnUpper: upper,
      rowLower: model.rowLower.map((v, i) => v / rowFactor[i]!),
      rowUpper: model.rowUpper.map((v, i) => v / rowFactor[i]!),
      values,
    },
  };
}

function finiteSize(value: number): number {
  return Number.isFinite(value) ? Math.abs(value) : 0;
}

function powerOfTwo(size: number): number {
  return 2 ** Math.round(Math.log2(size));
}
