import { assemble, wholeStock } from './assemble.ts';
import { explainConflict } from './conflict.ts';
import { eligibleCasks } from './eligibility.ts';
import { formulate } from './formulate.ts';
import { freeMps } from './free-mps.ts';
import { PlanRun } from './plan-run.ts';
import type { BlendProblem } from './problem.ts';
import { checkProblem } from './problem-check.ts';
import type { BlendProgress, BlendResult } from './result.ts';
import type { SolverPort } from './solver.ts';
import { stockOf } from './stock.ts';
import { figure, percent } from './figures.ts';

export interface PlanOptions {
  readonly solver: SolverPort;
  /** Seconds, never going back; any origin. */
  readonly clock: () => number;
  /** The best plan so far is returned at this time at the latest. */
  readonly timeLimitSeconds: number;
  /** Stop at this proven relative gap; 0 (until proven) when left out. */
  readonly targetRelativeGap?: number;
  readonly onProgress?: (progress: BlendProgress) => void;
  /** Asked often; true ends the search with the best plan so far. */
  readonly shouldStop?: () => boolean;
  /** Explain an infeasible answer; true when left out. */
  readonly explain?: boolean;
  /** Seconds the explanation may take besides, 4 when left out. */
  readonly explainSeconds?: number;
  /** Seed of the search's own choices; equal seeds repeat a run as far as time limits allow. */
  readonly seed?: number;
  /** `solver` hands the whole model to the solver; `auto` (the rule) uses the faster ways known. */
  readonly method?: 'auto' | 'solver';
}

/**
 * Chooses casks and water for a blend.
 *
 * Deterministic but for the clock: a run that ends before its time limit always gives the same plan.
 *
 * @throws RangeError when the problem is not well formed. Everything else is a result.
 */
export function planBlend(problem: BlendProblem, options: PlanOptions): BlendResult {
  const started = options.clock();
  checkProblem(problem);
  if (!(options.timeLimitSeconds > 0))
    throw new RangeError(`time limit ${options.timeLimitSeconds} s must be > 0`);
  const stock = stockOf(problem.casks);
  const eligible = eligibleCasks(problem);
  const run = new PlanRun(problem, stock, eligible, options, started);
  const end = run.levels((volume, windows) =>
    formulate(problem, stock, eligible, { volume, ...(windows && { windows }) }),
  );
  const effort = run.effort();
  switch (end.status) {
    case 'failed':
      return {
        status: 'failed',
        reason: end.reason,
        words:
          end.reason === 'solver'
            ? `The solver gave no answer: ${end.message}. The model is kept; plan again with another seed or fewer wishes.`
            : 'The plan found breaks a wish when it is computed from litres and strengths, so it is not shown. The model is kept; widen the strength or the volume a little.',
        ...(end.failedModel && { modelText: freeMps(end.failedModel) }),
        effort,
      };
    case 'infeasible': {
      if (options.explain === false)
        return { status: 'infeasible', words: 'The wishes cannot all hold.', effort };
      const conflict = explainConflict(problem, options);
      return { status: 'infeasible', conflict, words: conflict.words, effort: run.effort() };
    }
    case 'no-plan':
      return {
        status: 'no-plan-found',
        words:
          'No plan was found in the time given. That there is none is not proven: give it more time or loosen a wish.',
        effort,
      };
    case 'planned': {
      const { plan, levels, relativeGap } = end;
      const proven = relativeGap === 0;
      return {
        status: proven ? 'proven-best' : 'within-gap',
        plan,
        levels,
        relativeGap,
        words: proven
          ? `Proven best: ${plan.draws.length} casks, ${figure(plan.vat.bulkLitresAt20C)} L at ${figure(plan.vat.strengthPercentVol, 3)} % vol.`
          : `${plan.draws.length} casks, ${figure(plan.vat.bulkLitresAt20C)} L at ${figure(plan.vat.strengthPercentVol, 3)} % vol; the best plan can be better by at most ${percent(relativeGap, 4)}.`,
        effort,
      };
    }
  }
}

/**
 * The whole model of a problem's first level as free-format MPS text, for another solver to check.
 *
 * @throws RangeError when the problem is not well formed.
 */
export function wholeModelText(problem: BlendProblem): string {
  checkProblem(problem);
  const stock = stockOf(problem.casks);
  const model = formulate(problem, stock, eligibleCasks(problem), { volume: 'inside' });
  return freeMps(
    assemble(model, model.levels[0]!, wholeStock(model), { integer: true }).model,
    'blend FREE',
  );
}
