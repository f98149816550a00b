import type { LinearModel } from '../solver.ts';
import { DualSimplex, type SimplexEnd } from './dual-simplex.ts';
import { MirSeparator, type Cut } from './mir-cuts.ts';
import { KnapsackSeparator } from './knapsack-cuts.ts';
import { linksOf, separateLinks } from './link-cuts.ts';
import { withCuts } from './row-matrix.ts';

const LINKS_PER_ROUND = 40;

export interface CutLoopOptions {
  readonly rounds: number;
  /** Cuts added in a round at most. */
  readonly perRound: number;
  /** Cuts kept at the end at most, in stored coefficients as a multiple of the model's own. */
  readonly mostDensity: number;
  /** Look for knapsack cuts as well. */
  readonly knapsacks: boolean;
  readonly shouldStop: () => boolean;
}

/** A model tightened at its root, and what its relaxation says. */
export interface TightRoot {
  readonly status: 'relaxed' | 'infeasible';
  readonly model: LinearModel;
  readonly bound: number;
  readonly reducedCosts: Float64Array;
  /** Where the relaxation's optimum lies. */
  readonly point: Float64Array;
}

/**
 * Tightens a (scaled) model at the root: solve, cut off the fractional point, drop cuts that went
 * slack, repeat while the bound rises. Returns the model with the cuts that are tight at the end.
 */
export function tightenRoot(model: LinearModel, options: CutLoopOptions): TightRoot {
  const links = linksOf(model);
  const knapsacks = options.knapsacks ? new KnapsackSeparator(model) : null;
  let cuts: Cut[] = [];
  let simplex = new DualSimplex(model, options.shouldStop);
  const end = simplex.solve(Infinity, 100_000);
  if (end !== 'optimal') return rootOf(model, model, simplex, end);
  let bound = simplex.objective();
  let stalled = 0;
  for (let round = 0; round < options.rounds && stalled < 3 && !options.shouldStop(); round++) {
    const present = withCuts(model, cuts);
    const found = new MirSeparator(present).separate(
      {
        x: simplex.x.subarray(0, model.columnCount),
        tableauMultipliers: simplex.tableauRows(model.integer!, present.rowCount, 24),
      },
      options.shouldStop,
    );
    if (options.shouldStop()) break;
    const chosen = [
      ...choose(found, options.perRound),
      ...(knapsacks?.separate(simplex.x, simplex.d) ?? []),
      ...separateLinks(links, simplex.x, cuts, LINKS_PER_ROUND),
    ];
    if (chosen.length === 0) break;
    const tight = cuts.filter((_, c) => !simplex.isBasic(model.columnCount + model.rowCount + c));
    cuts = [...tight, ...chosen];
    simplex = new DualSimplex(withCuts(model, cuts), options.shouldStop);
    const next = simplex.solve(Infinity, 100_000);
    if (next !== 'optimal') return rootOf(model, withCuts(model, tight), simplex, next);
    const raised = simplex.bound();
    stalled = raised - bound > 3e-5 * Math.abs(bound) ? 0 : stalled + 1;
    bound = raised;
  }
  const kept = cuts
    .map((cut, c) => ({ cut, c }))
    .filter(({ c }) => !simplex.isBasic(model.columnCount + model.rowCount + c))
    .map(({ cut, c }) => ({ cut, worth: Math.abs(simplex.y[model.rowCount + c]!) }))
    .sort((a, b) => b.worth / b.cut.columns.length - a.worth / a.cut.columns.length);
  const room = options.mostDensity * model.values.length;
  let used = 0;
  const within = kept.filter(({ cut }) => (used += cut.columns.length) <= room);
  const tight = withCuts(
    model,
    within.map(({ cut }) => cut),
  );
  return rootOf(model, tight, simplex, 'optimal');
}

function rootOf(
  model: LinearModel,
  tight: LinearModel,
  simplex: DualSimplex,
  end: SimplexEnd,
): TightRoot {
  return {
    status: end === 'infeasible' ? 'infeasible' : 'relaxed',
    model: tight,
    bound: end === 'infeasible' ? Infinity : simplex.safeBound(),
    reducedCosts: simplex.d.slice(0, model.columnCount),
    point: simplex.x.slice(0, model.columnCount),
  };
}

/** The deepest cuts that do not point the same way as one already chosen. */
function choose(cuts: Cut[], most: number): Cut[] {
  cuts.sort((a, b) => b.efficacy - a.efficacy);
  const chosen: Cut[] = [];
  for (const cut of cuts) {
    if (chosen.length >= most) break;
    if (chosen.every((other) => parallelism(cut, other) < 0.9)) chosen.push(cut);
  }
  return chosen;
}

/** Cosine between two cuts (their values are normed). */
function parallelism(a: Cut, b: Cut): number {
  let sum = 0;
  let k = 0;
  for (let i = 0; i < a.columns.length; i++) {
    while (k < b.columns.length && b.columns[k]! < a.columns[i]!) k++;
    if (k < b.columns.length && b.columns[k] === a.columns[i]) sum += a.values[i]! * b.values[k]!;
  }
  return sum;
}
