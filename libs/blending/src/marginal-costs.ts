import { levelValue } from './aim-measure.ts';
import { planBlend, type PlanOptions } from './plan-blend.ts';
import type { BlendPlan } from './plan.ts';
import type { BlendProblem } from './problem.ts';

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

/**
 * Sensitivity: what one more litre, or 0.1 % vol more, costs. Casks are whole, so there is no exact
 * slope: the window is moved by a step, the blend planned again, and the difference divided.
 */
export function marginalCosts(
  problem: BlendProblem,
  best: { readonly plan: BlendPlan; readonly bound: number },
  options: MarginalOptions,
): MarginalCost[] {
  const volume = problem.wishes.find((w) => w.kind === 'volume')!;
  const litres = options.litres ?? (volume.lowLitresAt20C + volume.highLitresAt20C) / 200;
  const percentVol = options.percentVol ?? 0.1;
  const priority = Math.min(...problem.aims.map((aim) => aim.priority ?? 1), Infinity);
  const before = levelValue(best.plan.aims, priority);
  const until = options.clock() + options.timeLimitSeconds;
  const moves = [
    { of: 'litre', by: { litres, percentVol: 0 }, steps: litres },
    { of: 'tenth-percent-vol', by: { litres: 0, percentVol }, steps: percentVol / 0.1 },
  ] as const;
  return moves.map(({ of, by, steps }, k) => {
    const none = { of, change: null, least: null, most: null };
    const timeLimitSeconds = (until - options.clock()) / (moves.length - k);
    if (timeLimitSeconds <= 0 || (options.shouldStop?.() ?? false)) return none;
    const result = planBlend(moved(problem, by), { ...options, explain: false, timeLimitSeconds });
    if (!('plan' in result)) return none;
    const { value, bound } = result.levels[0]!;
    return {
      of,
      change: (value - before) / steps,
      least: (bound - before) / steps,
      most: (value - best.bound) / steps,
    };
  });
}

function moved(
  problem: BlendProblem,
  { litres, percentVol }: { litres: number; percentVol: number },
): BlendProblem {
  return {
    ...problem,
    wishes: problem.wishes.map((wish) => {
      if (wish.kind === 'volume')
        return {
          ...wish,
          lowLitresAt20C: wish.lowLitresAt20C + litres,
          highLitresAt20C: wish.highLitresAt20C + litres,
          ...(wish.targetLitresAt20C !== undefined && {
            targetLitresAt20C: wish.targetLitresAt20C + litres,
          }),
        };
      if (wish.kind === 'strength')
        return {
          ...wish,
          lowPercentVol: wish.lowPercentVol + percentVol,
          highPercentVol: wish.highPercentVol + percentVol,
          ...(wish.targetPercentVol !== undefined && {
            targetPercentVol: wish.targetPercentVol + percentVol,
          }),
        };
      return wish;
    }),
  };
}
