import { levelValue } from './aim-measure.ts';
import { planBlend, type PlanOptions } from './plan-blend.ts';
import type { BlendPlan } from './plan.ts';
import type { BlendProblem } from './problem.ts';

export interface AlternativesOptions extends PlanOptions {
  /** How many plans besides the best. */
  readonly count: number;
  /** Casks of every earlier plan that an alternative must do without; a fifth if left out. */
  readonly leastDifferentCasks?: number;
  /** Alternatives that are worse than the best by more than this share are not wanted; 0.1. */
  readonly withinRelative?: number;
}

export interface Alternative {
  readonly plan: BlendPlan;
  /** Value of the first level of the aims and how much worse than the best plan it is. */
  readonly value: number;
  readonly relativeLoss: number;
  /** Proven gap of this alternative among those that differ as asked. */
  readonly relativeGap: number;
  /** Casks of the best plan that it does without. */
  readonly differentCasks: number;
}

/**
 * Further plans, each the best that differs enough from the best plan and from each other. The time
 * limit is shared among them. Fewer than asked for means that no more are within reach.
 */
export function blendAlternatives(
  problem: BlendProblem,
  best: BlendPlan,
  options: AlternativesOptions,
): Alternative[] {
  const started = options.clock();
  const priority = Math.min(...problem.aims.map((aim) => aim.priority ?? 1), Infinity);
  const bestValue = levelValue(best.aims, priority);
  const locked = new Set((problem.locks ?? []).map((lock) => lock.caskId));
  const found: Alternative[] = [];
  const plans = [best];
  while (found.length < options.count) {
    const left = options.timeLimitSeconds - (options.clock() - started);
    if (left <= 0 || options.shouldStop?.()) break;
    const differ = plans.map((plan, k) => {
      const caskIds = plan.draws.map((draw) => draw.caskId).filter((id) => !locked.has(id));
      const wanted = options.leastDifferentCasks ?? Math.ceil(caskIds.length / 5);
      return {
        id: `differ:${k}`,
        kind: 'differ' as const,
        caskIds,
        byAtLeast: Math.min(caskIds.length, Math.max(1, wanted)),
      };
    });
    const result = planBlend(
      { ...problem, wishes: [...problem.wishes, ...differ] },
      {
        ...options,
        explain: false,
        timeLimitSeconds: left / (options.count - found.length),
      },
    );
    if (result.status !== 'proven-best' && result.status !== 'within-gap') break;
    const value = levelValue(result.plan.aims, priority);
    const relativeLoss = (value - bestValue) / Math.max(Math.abs(bestValue), 1e-9);
    if (relativeLoss > (options.withinRelative ?? 0.1)) break;
    const drawn = new Set(result.plan.draws.map((draw) => draw.caskId));
    plans.push(result.plan);
    found.push({
      plan: {
        ...result.plan,
        wishes: result.plan.wishes.filter(
          (w) => w.kind !== 'differ' || problem.wishes.some((own) => own.id === w.wishId),
        ),
      },
      value,
      relativeLoss,
      relativeGap: result.relativeGap,
      differentCasks: best.draws.filter((draw) => !drawn.has(draw.caskId)).length,
    });
  }
  return found;
}
