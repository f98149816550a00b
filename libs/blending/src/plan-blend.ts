import { levelValue } from './aim-measure.ts';
import { assemble, fractionsOf, wholeStock, type HeldLevel } from './assemble.ts';
import { eligibleCasks } from './eligibility.ts';
import { explainConflict } from './explain.ts';
import { formulate } from './formulate.ts';
import type { BlendPlan, LevelOutcome } from './plan.ts';
import type { BlendProblem } from './problem.ts';
import { checkProblem } from './problem-check.ts';
import { realise } from './realise.ts';
import type { BlendProgress, BlendResult } from './result.ts';
import type { SolverPort } from './solver.ts';
import { stockOf } from './stock.ts';

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
  /** Seed of the solver's own choices; equal seeds repeat a run as far as time limits allow. */
  readonly seed?: number;
}

/** Explaining asks many small questions; none of them may take longer than this. */
const QUESTION_SECONDS = 3;

/** A gap this small counts as proven. */
export const PROVEN_GAP = 1e-6;

/**
 * Chooses casks and water for a blend.
 *
 * @throws RangeError when the problem is not well formed. Everything else is a result.
 */
export function planBlend(problem: BlendProblem, options: PlanOptions): BlendResult {
  checkProblem(problem);
  const started = options.clock();
  const elapsed = (): number => options.clock() - started;
  const stock = stockOf(problem.casks);
  const eligible = eligibleCasks(problem);
  const model = formulate(problem, stock, eligible, { volume: 'inside' });
  let calls = 0;
  const steps: string[] = [];
  const effort = () => ({
    eligibleCasks: eligible.length,
    seconds: elapsed(),
    solverName: options.solver.name,
    solverCalls: calls,
    steps,
  });
  const infeasible = (): BlendResult => {
    const words = 'The wishes cannot all hold.';
    if (options.explain === false) return { status: 'infeasible', words, effort: effort() };
    const hasTime = () => elapsed() < options.timeLimitSeconds && options.shouldStop?.() !== true;
    const feasible = (asked: BlendProblem): boolean | null => {
      calls++;
      const timeLimitSeconds = Math.min(QUESTION_SECONDS, options.timeLimitSeconds - elapsed());
      const { status } = planBlend(
        { ...asked, aims: [] },
        { ...options, explain: false, timeLimitSeconds },
      );
      return status === 'infeasible'
        ? false
        : status === 'proven-best' || status === 'within-gap'
          ? true
          : null;
    };
    return {
      status: 'infeasible',
      conflict: explainConflict(problem, feasible, hasTime),
      words,
      effort: effort(),
    };
  };
  let plan: BlendPlan | null = null;
  const levels: LevelOutcome[] = [];
  const held: HeldLevel[] = [];
  for (const level of model.levels) {
    const assembled = assemble(model, level, wholeStock(model), { integer: true, held });
    calls++;
    const outcome = options.solver.solve(assembled.model, {
      timeLimitSeconds: options.timeLimitSeconds - elapsed(),
      relativeGap: Math.max(options.targetRelativeGap ?? 0, PROVEN_GAP / 2),
      seed: options.seed ?? 0,
      ...(options.shouldStop && { shouldStop: options.shouldStop }),
      onProgress: (value, bound) =>
        options.onProgress?.({
          stage: 'searching',
          seconds: elapsed(),
          priority: level.priority,
          value,
          bound,
          relativeGap: value !== null && bound !== null ? gapOf(value, bound) : null,
          casks: null,
        }),
    });
    steps.push(`whole model: ${outcome.status}`);
    if (outcome.status === 'failed')
      return { status: 'failed', words: outcome.message, effort: effort() };
    if (outcome.status === 'infeasible' && !plan) return infeasible();
    if (outcome.columnValues) {
      const draws = fractionsOf(assembled, outcome.columnValues).map(
        ({ block, fraction, whole }) => ({ cask: model.blocks.cask[block]!, fraction, whole }),
      );
      const waterKg = outcome.columnValues[assembled.globalColumn[model.waterColumn]!]!;
      plan = realise(problem, stock, draws, waterKg) ?? plan;
    }
    if (!plan) break;
    const value = levelValue(plan.aims, level.priority);
    const bound = Math.min(value, outcome.bound ?? -Infinity);
    levels.push({ priority: level.priority, value, bound, relativeGap: gapOf(value, bound) });
    held.push({ level, most: value + 1e-9 * Math.max(1, Math.abs(value)) });
  }
  if (!plan)
    return {
      status: 'no-plan-found',
      words: 'No plan was found in the time given; that there is none is not proven.',
      effort: effort(),
    };
  const relativeGap = levels.find((l) => l.relativeGap > PROVEN_GAP)?.relativeGap ?? 0;
  return {
    status: relativeGap === 0 ? 'proven-best' : 'within-gap',
    plan,
    levels,
    relativeGap,
    words: '',
    effort: effort(),
  };
}

export function gapOf(value: number, bound: number): number {
  return Math.max(0, value - bound) / Math.max(Math.abs(value), 1e-9);
}
