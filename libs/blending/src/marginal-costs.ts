import { levelValue } from './aim-measure.ts';
import { withMovedWindows, type WindowMove } from './moved-windows.ts';
import { planBlend, type PlanOptions } from './plan-blend.ts';
import type { BlendPlan } from './plan.ts';
import type { BlendProblem } from './problem.ts';

/** A change of the target that is planned; what it costs is told for one of its steps. */
export interface Move {
  readonly by: WindowMove;
  readonly steps: number;
}

/** What a move costs in the first aims, for one step. `unanswered`: the time was too short. */
export type CostOfMove =
  | {
      readonly status: 'found';
      readonly change: number;
      /** The change lies between these, by the gaps of both plans. */
      readonly least: number;
      readonly most: number;
    }
  | { readonly status: 'no-plan' | 'unanswered' };

/**
 * Sensitivity: what moved or wider windows cost. Casks are whole, so there is no exact slope: each
 * move is planned again, for the first aims alone (later ones decide among equals), and the
 * difference divided by its steps.
 *
 * @param leastSeconds a move that would have less time is not begun
 */
export function costsOfMoves(
  problem: BlendProblem,
  best: { readonly plan: BlendPlan; readonly bound: number },
  moves: readonly Move[],
  options: PlanOptions & {
    readonly leastSeconds?: number;
    readonly onMove?: (index: number) => void;
  },
): CostOfMove[] {
  const priority = Math.min(...problem.aims.map((aim) => aim.priority ?? 1), Infinity);
  const aims = problem.aims.filter((aim) => (aim.priority ?? 1) === priority);
  const before = levelValue(best.plan.aims, priority);
  const until = options.clock() + options.timeLimitSeconds;
  return moves.map(({ by, steps }, k) => {
    const timeLimitSeconds = (until - options.clock()) / (moves.length - k);
    const tooLate = timeLimitSeconds <= 0 || timeLimitSeconds < (options.leastSeconds ?? 0);
    if (tooLate || (options.shouldStop?.() ?? false)) return { status: 'unanswered' };
    options.onMove?.(k);
    const result = planBlend(
      { ...withMovedWindows(problem, by), aims },
      { ...options, explain: false, timeLimitSeconds },
    );
    if (result.status === 'infeasible') return { status: 'no-plan' };
    const level = 'plan' in result ? result.levels[0] : undefined;
    if (!level) return { status: 'unanswered' };
    return {
      status: 'found',
      change: (level.value - before) / steps,
      least: (level.bound - before) / steps,
      most: (level.value - best.bound) / steps,
    };
  });
}

export interface MarginalOptions extends PlanOptions {
  /** How far the volume window is moved, litres; a hundredth of its middle if left out. */
  readonly litres?: number;
  /** How far the strength window is moved, % vol; 0.1 if left out. */
  readonly percentVol?: number;
}

/** What moving a window costs in the first level of the aims, each time planned again. */
export interface MarginalCost {
  readonly of: 'litre' | 'tenth-percent-vol';
  /**
   * Change of the first level's value for one litre, or 0.1 % vol, more; null when there is no such
   * plan, or the time was too short to tell it from the gap.
   */
  readonly change: number | null;
  /** The change lies between these, by the gaps of both plans. */
  readonly least: number | null;
  readonly most: number | null;
}

/** What one more litre, or 0.1 % vol more, costs: {@link costsOfMoves} for these two. */
export function marginalCosts(
  problem: BlendProblem,
  best: { readonly plan: BlendPlan; readonly bound: number },
  { litres: byLitres, percentVol = 0.1, ...options }: MarginalOptions,
): MarginalCost[] {
  const volume = problem.wishes.find((w) => w.kind === 'volume')!;
  const litres = byLitres ?? (volume.lowLitresAt20C + volume.highLitresAt20C) / 200;
  const kinds = ['litre', 'tenth-percent-vol'] as const;
  const moves = [
    { by: { litres }, steps: litres },
    { by: { percentVol }, steps: percentVol / 0.1 },
  ];
  return costsOfMoves(problem, best, moves, options).map((cost, k) => {
    const of = kinds[k]!;
    if (cost.status !== 'found') return { of, change: null, least: null, most: null };
    return { of, change: cost.change, least: cost.least, most: cost.most };
  });
}
