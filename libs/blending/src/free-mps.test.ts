import { expect, test } from 'vitest';
import { freeMps } from './free-mps.ts';
import type { LinearModel } from './solver.ts';

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

test('a model is written in free MPS with its ranges, bounds and whole columns', () => {
  expect(freeMps(MODEL).split('\n')).toEqual([
    'NAME blend',
    'ROWS',
    ' N cost',
    ' L r0',
    ' L r1',
    ' E r2',
    'COLUMNS',
    " m0 'MARKER' 'INTORG'",
    ' c0 cost -1',
    ' c0 r0 1',
    ' c0 r1 1',
    " m1 'MARKER' 'INTEND'",
    ' c1 cost -2',
    ' c1 r0 1',
    ' c1 r2 1',
    ' c2 cost 1',
    ' c2 r1 -1',
    'RHS',
    ' rhs r0 4',
    ' rhs r1 1',
    ' rhs r2 2.5',
    'RANGES',
    ' rng r1 4',
    'BOUNDS',
    ' LO b c0 0',
    ' UP b c0 3',
    ' LO b c1 0',
    ' PL b c1',
    ' MI b c2',
    ' UP b c2 5',
    'ENDATA',
    '',
  ]);
});
