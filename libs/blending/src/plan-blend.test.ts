import loadHighs from 'highs';
import { expect, test } from 'vitest';
import { explainConflict } from './conflict.ts';
import {
  highsSolver,
  planBlend,
  verifyPlan,
  type BlendProblem,
  type CandidateCask,
} from './index.ts';

// The package is CommonJS: its types say the default export is one level down, Node and Vite hand it over directly.
const solver = highsSolver(await (loadHighs as unknown as typeof loadHighs.default)());
const clock = (): number => performance.now() / 1000;

test('plans a small blend and the plan verifies', () => {
  const casks: CandidateCask[] = Array.from({ length: 40 }, (_, i) => ({
    id: `C${i}`,
    bulkLitresAt20C: 180 + ((i * 37) % 50),
    strengthPercentVol: 55 + ((i * 13) % 10),
    ageYears: 3 + (i % 7),
    attributes: { wood: i % 3 === 0 ? 'wine' : 'bourbon', plot: `P${i % 5}` },
    location: { storeCode: 'A', zoneCode: '1', row: String(i % 6) },
    costPerLitrePureAlcohol: 10 + ((i * 7) % 11),
  }));
  const problem: BlendProblem = {
    casks,
    wishes: [
      { id: 'v', kind: 'volume', lowLitresAt20C: 2985, highLitresAt20C: 3015 },
      { id: 's', kind: 'strength', lowPercentVol: 45.95, highPercentVol: 46.05 },
      { id: 'age', kind: 'age', leastYears: 4 },
      {
        id: 'wine',
        kind: 'share',
        attribute: 'wood',
        among: { values: ['wine'] },
        of: 'lpa',
        cap: 0.3,
      },
      { id: 'plots', kind: 'distinct', attribute: 'plot', atLeast: 3 },
      { id: 'rows', kind: 'row-count', atMost: 5 },
    ],
    aims: [{ kind: 'cost' }],
  };
  const result = planBlend(problem, { solver, clock, timeLimitSeconds: 20 });
  expect(result.status).toBe('proven-best');
  if (result.status !== 'proven-best') return;
  expect(verifyPlan(problem, result.plan)).toMatchObject({ ok: true, faults: [] });
});

test('says which wishes conflict and the least change of each that opens a plan', () => {
  const casks: CandidateCask[] = Array.from({ length: 12 }, (_, i) => ({
    id: `C${i}`,
    bulkLitresAt20C: 200,
    strengthPercentVol: 60,
    ageYears: 2 + 0.25 * i,
    attributes: { wood: i < 8 ? 'wine' : 'plain' },
    location: { storeCode: 'A', zoneCode: '1', row: '1' },
    costPerLitrePureAlcohol: 10,
  }));
  // Eight wine casks are the younger ones; four plain ones make at most 4/12 … of what is asked.
  const problem: BlendProblem = {
    casks,
    wishes: [
      { id: 'v', kind: 'volume', lowLitresAt20C: 1550, highLitresAt20C: 1600 },
      { id: 's', kind: 'strength', lowPercentVol: 45.9, highPercentVol: 46.1 },
      { id: 'age', kind: 'age', leastYears: 4 },
      { id: 'water', kind: 'water', mostLitresAt20C: 5000 },
    ],
    aims: [],
  };
  const result = planBlend(problem, { solver, clock, timeLimitSeconds: 20 });
  if (result.status !== 'infeasible') throw new Error(`expected a conflict, got ${result.status}`);
  const ids = result.conflict?.wishes.map((w) => w.wishId);
  expect(ids).toEqual(expect.arrayContaining(['age', 'v']));
  expect(ids).not.toContain('water');
  const age = result.conflict?.wishes.find((w) => w.wishId === 'age')?.relaxation;
  // 1,550 L at 46 % vol are 713 LPA: six casks of 120 LPA, and the six oldest are 3.5 years and more.
  expect(age?.kind === 'change' && age.to).toBeCloseTo(3.5, 1);
  expect(
    planBlend(
      {
        ...problem,
        wishes: problem.wishes.map((w) => (w.kind === 'age' ? { ...w, leastYears: 3.49 } : w)),
      },
      { solver, clock, timeLimitSeconds: 20 },
    ).status,
  ).toBe('proven-best');
});

test('a conflict found while questions stay open is not called irreducible', () => {
  const problem: BlendProblem = {
    casks: [],
    wishes: [
      { id: 'v', kind: 'volume', lowLitresAt20C: 10, highLitresAt20C: 11 },
      { id: 's', kind: 'strength', lowPercentVol: 45, highPercentVol: 46 },
      { id: 'age', kind: 'age', leastYears: 4 },
    ],
    aims: [],
  };
  let now = 0;
  // A clock that has run out before the first question.
  const conflict = explainConflict(problem, {
    solver,
    clock: () => (now += 10),
    timeLimitSeconds: 1,
  });
  expect(conflict.irreducible).toBe(false);
});

test('a solver that gives no answer is told apart from other failures, with the model', () => {
  const problem: BlendProblem = {
    casks: [0, 1, 2].map((i) => ({
      id: `C${i}`,
      bulkLitresAt20C: 200,
      strengthPercentVol: 60 + i,
      ageYears: 5,
      attributes: {},
      costPerLitrePureAlcohol: 10,
    })),
    wishes: [
      { id: 'v', kind: 'volume', lowLitresAt20C: 240, highLitresAt20C: 280 },
      { id: 's', kind: 'strength', lowPercentVol: 45, highPercentVol: 47 },
    ],
    aims: [{ kind: 'cost' }],
  };
  const options = { clock, timeLimitSeconds: 5, method: 'solver' as const };
  const failing = {
    name: 'failing',
    solve: () => ({
      status: 'failed' as const,
      message: 'numerical trouble',
      value: null,
      bound: null,
      columnValues: null,
      rowDuals: null,
    }),
  };
  const result = planBlend(problem, { ...options, solver: failing });
  expect(result).toMatchObject({ status: 'failed', reason: 'solver' });
  if (result.status !== 'failed') return;
  expect(result.words).toContain('numerical trouble');
  expect(result.modelText).toContain('ROWS');
  expect(planBlend(problem, { ...options, solver }).status).toBe('proven-best');
});
