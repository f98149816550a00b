/** What a little more, or other tolerances, would add to the first aims: found by planning that blend too. */
import {
  costsOfMoves,
  type BlendPlan,
  type BlendProblem,
  type BlendResult,
  type Move,
  type SolverPort,
} from '@rundlet/blending';
import type { BlendAnswer, BlendRequest } from '@rundlet/contracts';
import { unitOf } from './blend-answer.ts';

/** A question that takes longer than this is left unanswered. */
const LEAST_SECONDS = 0.2;

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
  const first = best.levels[0];
  if (!first) return [];
  const unit = unitOf(request, first.priority);
  const questions = questionsOf(request);
  const costs = costsOfMoves(problem, { plan: best.plan, bound: first.bound }, questions, {
    solver: means.solver,
    clock: means.clock,
    timeLimitSeconds: means.seconds,
    shouldStop: means.shouldStop,
    leastSeconds: LEAST_SECONDS,
    onMove: (i) => {
      means.onQuestion(questions[i]?.what ?? '');
    },
  });
  return questions.flatMap(({ what }, i): BlendAnswer['sensitivity'] => {
    const cost = costs[i];
    if (cost?.status === 'no-plan') return [{ what, costs: null, unit, plusMinus: 0 }];
    if (cost?.status !== 'found' || !Number.isFinite(cost.least)) return [];
    const plusMinus = Math.max(cost.most - cost.change, cost.change - cost.least);
    // A figure smaller than what is not proven says nothing.
    if (plusMinus > 1e-9 * Math.abs(first.value) && plusMinus > Math.abs(cost.change)) return [];
    return [{ what, costs: cost.change, unit, plusMinus: plusMinus < 1e-9 ? 0 : plusMinus }];
  });
}

function questionsOf({ target }: BlendRequest): readonly (Move & { readonly what: string })[] {
  // A hundredth of the volume more is planned, one litre is told.
  const litres = target.bulkLitresAt20C / 100;
  return [
    { what: 'one litre more', by: { litres }, steps: litres },
    { what: '0.1 % vol more', by: { percentVol: 0.1 }, steps: 1 },
    { what: 'tolerances half as wide', by: { width: 0.5 }, steps: 1 },
    { what: 'tolerances twice as wide', by: { width: 2 }, steps: 1 },
  ];
}
