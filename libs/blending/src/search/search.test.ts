/** The searches against trying every set, on random models: a cover, caps on lots, a cap on rows opened. */
import { expect, test } from 'vitest';
import type { LinearModel } from '../solver.ts';
import { DualSimplex } from './dual-simplex.ts';
import { solveFewRows } from './few-rows-solver.ts';
import { KnapsackSeparator } from './knapsack-cuts.ts';
import { capsOpenings, solveByOpenings } from './openings-search.ts';
import { randomFrom } from './random.ts';

const CASKS = 12;
const clock = (): number => performance.now() / 1000;

/** Row of each cask: the first row holds a single one. */
const ROW_OF = [0, 1, 1, 1, 1, 2, 2, 2, 2, 3, 3, 3] as const;

/** Casks 0…11 in four rows and three lots of four; columns 12…15 say which rows are opened. */
function randomModel(seed: number): LinearModel {
  const random = randomFrom(seed);
  const litres = Array.from({ length: CASKS }, () => 80 + Math.floor(random() * 60));
  const lotCap = 180 + random() * 160;
  // Rows: the total, three lots, four links, rows opened.
  const entries: [row: number, value: number][][] = litres.map((l, i) => [
    [0, l],
    [1 + (i % 3), l],
    [4 + ROW_OF[i]!, 1],
  ]);
  for (let r = 0; r < 4; r++)
    entries.push([
      [4 + r, -ROW_OF.filter((row) => row === r).length],
      [8, 1],
    ]);
  const starts = [0];
  for (const column of entries) starts.push(starts[starts.length - 1]! + column.length);
  const least = 380 + random() * 120;
  return {
    columnCount: CASKS + 4,
    rowCount: 9,
    columnCost: Float64Array.from([...litres.map((l) => l * (1 + random())), 0, 0, 0, 0]),
    columnLower: new Float64Array(CASKS + 4),
    columnUpper: new Float64Array(CASKS + 4).fill(1),
    rowLower: Float64Array.from([least, ...new Array<number>(8).fill(-Infinity)]),
    rowUpper: Float64Array.from([least + 12, lotCap, lotCap, lotCap, 0, 0, 0, 0, 2 + (seed % 2)]),
    starts: Int32Array.from(starts),
    indices: Int32Array.from(entries.flat().map(([row]) => row)),
    values: Float64Array.from(entries.flat().map(([, value]) => value)),
    integer: new Uint8Array(CASKS + 4).fill(1),
  };
}

/** Every plan of the model, with the rows it needs opened and no other. */
function plansOf(model: LinearModel): Float64Array[] {
  const plans: Float64Array[] = [];
  for (let set = 0; set < 1 << CASKS; set++) {
    const x = new Float64Array(model.columnCount);
    for (let i = 0; i < CASKS; i++)
      if ((set >> i) & 1) {
        x[i] = 1;
        x[CASKS + ROW_OF[i]!] = 1;
      }
    const activity = new Float64Array(model.rowCount);
    for (let j = 0; j < model.columnCount; j++)
      for (let e = model.starts[j]!; e < model.starts[j + 1]!; e++)
        activity[model.indices[e]!]! += model.values[e]! * x[j]!;
    if (activity.every((a, i) => a >= model.rowLower[i]! - 1e-9 && a <= model.rowUpper[i]! + 1e-9))
      plans.push(x);
  }
  return plans;
}

const costOf = (model: LinearModel, x: Float64Array): number =>
  x.reduce((sum, v, j) => sum + v * model.columnCost[j]!, 0);

test('openings first, and all at once, find what trying every set finds', () => {
  let possible = 0;
  let impossible = 0;
  for (let seed = 1; seed <= 24; seed++) {
    const model = randomModel(seed);
    expect(capsOpenings(model)).toBe(true);
    const plans = plansOf(model);
    const best = plans.reduce((least, x) => Math.min(least, costOf(model, x)), Infinity);
    if (plans.length > 0) possible++;
    else impossible++;
    for (const [solve, strengthened] of [
      [solveByOpenings, true],
      [solveFewRows, true],
      [solveFewRows, false],
    ] as const) {
      const outcome = solve(model, { timeLimitSeconds: 60, strengthened }, clock);
      expect(outcome.status, `seed ${seed}`).toBe(plans.length > 0 ? 'optimal' : 'infeasible');
      if (plans.length === 0) continue;
      expect(outcome.value, `seed ${seed}`).toBeCloseTo(best, 6);
      expect(outcome.bound!, `seed ${seed}`).toBeLessThanOrEqual(best + 1e-6);
    }
  }
  expect(possible).toBeGreaterThan(10);
  expect(impossible).toBeGreaterThan(1);
});

test('a knapsack cut holds for every plan and cuts the relaxation’s point off', () => {
  let cutCount = 0;
  for (let seed = 1; seed <= 24; seed++) {
    const model = randomModel(seed);
    const simplex = new DualSimplex(model);
    if (simplex.solve(Infinity, 1000) !== 'optimal') continue;
    const plans = plansOf(model);
    for (const cut of new KnapsackSeparator(model).separate(simplex.x, simplex.d)) {
      cutCount++;
      const at = (x: Float64Array): number =>
        cut.columns.reduce((sum, j, k) => sum + x[j]! * cut.values[k]!, 0);
      expect(at(simplex.x)).toBeGreaterThan(cut.upper);
      for (const plan of plans) expect(at(plan)).toBeLessThanOrEqual(cut.upper + 1e-9);
    }
  }
  expect(cutCount).toBeGreaterThan(8);
});
