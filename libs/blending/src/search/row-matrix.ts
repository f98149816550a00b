import type { LinearModel } from '../solver.ts';
import type { Cut } from './mir-cuts.ts';

/** A model's matrix by rows. */
export interface RowMatrix {
  readonly starts: Int32Array;
  readonly columns: Int32Array;
  readonly values: Float64Array;
}

export function rowsOf(model: LinearModel): RowMatrix {
  const starts = new Int32Array(model.rowCount + 1);
  for (const i of model.indices) starts[i + 1]!++;
  for (let i = 0; i < model.rowCount; i++) starts[i + 1]! += starts[i]!;
  const next = starts.slice();
  const columns = new Int32Array(model.indices.length);
  const values = new Float64Array(model.indices.length);
  for (let j = 0; j < model.columnCount; j++)
    for (let e = model.starts[j]!; e < model.starts[j + 1]!; e++) {
      const at = next[model.indices[e]!]!++;
      columns[at] = j;
      values[at] = model.values[e]!;
    }
  return { starts, columns, values };
}

/** The model with cuts as further rows. */
export function withCuts(model: LinearModel, cuts: readonly Cut[]): LinearModel {
  if (cuts.length === 0) return model;
  const extra = new Int32Array(model.columnCount);
  for (const cut of cuts) for (const j of cut.columns) extra[j]!++;
  const starts = new Int32Array(model.columnCount + 1);
  for (let j = 0; j < model.columnCount; j++)
    starts[j + 1] = starts[j]! + model.starts[j + 1]! - model.starts[j]! + extra[j]!;
  const indices = new Int32Array(starts[model.columnCount]!);
  const values = new Float64Array(starts[model.columnCount]!);
  const next = starts.slice();
  for (let j = 0; j < model.columnCount; j++)
    for (let e = model.starts[j]!; e < model.starts[j + 1]!; e++) {
      indices[next[j]!] = model.indices[e]!;
      values[next[j]!++] = model.values[e]!;
    }
  cuts.forEach((cut, c) => {
    cut.columns.forEach((j, k) => {
      indices[next[j]!] = model.rowCount + c;
      values[next[j]!++] = cut.values[k]!;
    });
  });
  return {
    ...model,
    rowCount: model.rowCount + cuts.length,
    rowLower: Float64Array.from([...model.rowLower, ...cuts.map(() => -Infinity)]),
    rowUpper: Float64Array.from([...model.rowUpper, ...cuts.map((cut) => cut.upper)]),
    starts,
    indices,
    values,
  };
}
