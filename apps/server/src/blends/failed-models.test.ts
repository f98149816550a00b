import { mkdtempSync, readFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { freeMps, type LinearModel, type SolveOutcome } from '@rundlet/blending';
import { expect, test } from 'vitest';
import { keepModel, rememberingSolver } from './failed-models.ts';

/** min −x − 2y + z, x + y ≤ 4, −3 ≤ x − z ≤ 1, y = 2.5 + 0·z; x whole in 0…3, y ≥ 0, z in −∞…5. */
const MODEL: LinearModel = {
  columnCount: 3,
  rowCount: 3,
  columnCost: Float64Array.of(-1, -2, 1),
  columnLower: Float64Array.of(0, 0, -Infinity),
  columnUpper: Float64Array.of(3, Infinity, 5),
  rowLower: Float64Array.of(-Infinity, -3, 2.5),
  rowUpper: Float64Array.of(4, 1, 2.5),
  starts: Int32Array.of(0, 2, 4, 5),
  indices: Int32Array.of(0, 1, 0, 2, 1),
  values: Float64Array.of(1, 1, 1, 1, -1),
  integer: Uint8Array.of(1, 0, 0),
};

test('what a failing solver was given last is kept in a file that names itself', () => {
  const failed: SolveOutcome = {
    status: 'failed',
    message: 'numerical trouble',
    value: null,
    bound: null,
    columnValues: null,
    rowDuals: null,
  };
  const { solver, lastModel } = rememberingSolver({ name: 'failing', solve: () => failed });
  expect(lastModel()).toBeNull();
  expect(solver.solve(MODEL, { timeLimitSeconds: 1 })).toBe(failed);
  const folder = mkdtempSync(join(tmpdir(), 'rundlet-model-'));
  const file = keepModel(folder, lastModel() ?? '', new Date('2026-03-02T09:00:00Z'));
  expect(file).toBe(join(folder, 'failed-models', '2026-03-02T09-00-00.000Z.mps'));
  expect(readFileSync(file, 'utf8')).toBe(freeMps(MODEL));
});
