/** What a little more, or other tolerances, would add to the first aims: found by planning that blend too. */
import {
  planBlend,
  type BlendPlan,
  type BlendProblem,
  type BlendResult,
  type SolverPort,
} from '@rundlet/blending';
import type { BlendAnswer, BlendRequest } from '@rundlet/contracts';
import { unitOf } from './blend-answer.ts';
import { shifted } from './blend-problem.ts';

/** A question that takes longer than this is left unanswered. */
const LEAST_SECONDS = 0.2;

interface Question {
  readonly what: string;
  /** The answer is divided by this: a hundred litres more are planned, one is told. */
  readonly steps: number;
  readonly problem: BlendProblem;
}

export function blendSensitivity(
  problem: BlendProblem,
  best: Extract<BlendResult, { plan: BlendPlan }>,
  request: BlendRequest,
  means: {
    readonly solver: SolverPort;
    readonly clock: () => number;
    readonly seconds: number;
    readonly shouldStop: () => boolean;
    readonly onQuestion: (what: string) => void;
  },
): BlendAnswer['sensitivity'] {
  const { clock, solver, shouldStop } = means;
  const first = best.levels[0];
  if (!first) return [];
  // Later aims decide among equals only: they have no say in what a litre costs.
  const aims = problem.aims.filter((aim) => (aim.priority ?? 1) === first.priority);
  const unit = unitOf(request, first.priority);
  const slack = first.value - first.bound;
  const questions = questionsOf(problem, request);
  const until = clock() + means.seconds;
  return questions.flatMap(({ what, steps, problem: asked }, i): BlendAnswer['sensitivity'] => {
    const timeLimitSeconds = (until - clock()) / (questions.length - i);
    if (timeLimitSeconds < LEAST_SECONDS || shouldStop()) return [];
    means.onQuestion(what);
    const result = planBlend(
      { ...asked, aims },
      { solver, clock, timeLimitSeconds, shouldStop, explain: false },
    );
    if (result.status === 'infeasible') return [{ what, costs: null, unit, plusMinus: 0 }];
    const level = 'plan' in result ? result.levels[0] : undefined;
    if (!level || !Number.isFinite(level.bound)) return [];
    const plusMinus = Math.max(slack, level.value - level.bound) / steps;
    const costs = (level.value - first.value) / steps;
    // A figure smaller than what is not proven says nothing.
    if (plusMinus > 1e-9 * Math.abs(first.value) && plusMinus > Math.abs(costs)) return [];
    return [{ what, costs, unit, plusMinus: plusMinus < 1e-9 ? 0 : plusMinus }];
  });
}

function questionsOf(problem: BlendProblem, { target }: BlendRequest): Question[] {
  const litres = target.bulkLitresAt20C / 100;
  return [
    { what: 'one litre more', steps: litres, problem: shifted(problem, { litres }) },
    { what: '0.1 % vol more', steps: 1, problem: shifted(problem, { percentVol: 0.1 }) },
    { what: 'tolerances half as wide', steps: 1, problem: shifted(problem, { width: 0.5 }) },
    { what: 'tolerances twice as wide', steps: 1, problem: shifted(problem, { width: 2 }) },
  ];
}
