/** The whole way from a request to its answer, in a worker thread of its own. */
import {
  blendAlternatives,
  highsSolver,
  planBlend,
  type Alternative,
  type BlendPlan,
  type BlendProblem,
  type BlendProgress,
  type BlendResult,
  type SolverPort,
} from '@rundlet/blending';
import type { BlendAnswer, BlendChoice, BlendRequest } from '@rundlet/contracts';
import loadHighs from 'highs';
import type { TaskContext } from '../jobs/serve-tasks.ts';
import { workerRows } from '../jobs/worker-database.ts';
import { Beliefs } from '../maturation/beliefs.ts';
import { PRIORS_ID } from '../maturation/calibration-rows.ts';
import { Refusal } from '../platform/refusals.ts';
import { blendAnswer, signOf, unitOf } from './blend-answer.ts';
import { AttributeBook } from './blend-attributes.ts';
import { DUTY } from './blend-wishes.ts';
import { blendCandidates, type Candidate } from './blend-candidates.ts';
import { blendChoice } from './blend-choice.ts';
import { blendCosts } from './blend-costs.ts';
import { problemOf, windowsOf } from './blend-problem.ts';
import { blendSensitivity } from './blend-sensitivity.ts';
import { SECONDS_FOR_AN_ALTERNATIVE, SENSITIVITY_SECONDS } from './blend-times.ts';
import { keepModel, keepProblem, rememberingSolver } from './failed-models.ts';

/** Its types describe the CommonJS module, of which an import gives the function itself. */
const load = loadHighs as unknown as typeof loadHighs.default;

const clock = (): number => performance.now() / 1000;

type Tell = (detail: Record<string, unknown>) => void;

export async function solveBlend(
  request: BlendRequest,
  context: TaskContext,
): Promise<BlendAnswer> {
  const began = clock();
  const rows = await workerRows(context.settings);
  const beliefs = new Beliefs();
  const tell: Tell = (detail) => {
    context.progress({ share: null, detail: { ...detail, seconds: clock() - began } });
  };
  tell({ stage: 'gathering' });
  const knowledge = await beliefs.knowledge(rows);
  const book = await AttributeBook.open(rows);
  const { costs, assumed } = await blendCosts(rows);
  const candidates = await blendCandidates(rows, beliefs, request, {
    knowledge,
    book,
    costs,
    shouldStop: context.shouldStop,
    onProgress: (casks) => {
      tell({ stage: 'forecasting', candidates: casks });
    },
  });
  const problem = problemOf(request, candidates, book, costs);
  const { solver, lastModel } = rememberingSolver(highsSolver(await load()));
  const { dataFolder } = context.settings;
  const result = search(problem, request, solver, context, tell, candidates.length, dataFolder);
  const solved = 'plan' in result ? result : null;
  const model = result.status === 'failed' ? (result.modelText ?? lastModel()) : null;
  const more = solved && !context.shouldStop() ? { problem, request, solver, context, tell } : null;
  const alternatives = solved && more ? furtherPlans(solved.plan, more) : [];
  const sensitivity = solved && more ? priceOfMore(solved, more) : [];
  return blendAnswer({
    request,
    candidates,
    result,
    plans: solved ? choicesOf(solved.plan, alternatives, { request, problem, candidates }) : [],
    sensitivity,
    stopped: context.shouldStop(),
    savedModel: model === null ? null : keepModel(dataFolder, model, new Date()),
    seconds: clock() - began,
    notes: [
      ...(solved ? edgeWords(solved.plan, request) : []),
      ...(solved && alternatives.length < request.alternatives ? fewerWords(alternatives) : []),
      ...(solved ? mixedDutyWords(solved.plan, problem) : []),
      ...(knowledge.calibrationId === PRIORS_ID
        ? ['Casks were forecast from published rates: nothing has been learnt from regauges yet.']
        : []),
      ...(assumed && (request.mostCost !== undefined || isAim(request, 'least-cost'))
        ? ['The costs are assumed until an administrator sets the estate’s own.']
        : []),
    ],
  });
}

const isAim = ({ aims }: BlendRequest, kind: BlendRequest['aims'][number]['kind']): boolean =>
  aims.some((aim) => aim.kind === kind);

function search(
  problem: BlendProblem,
  request: BlendRequest,
  solver: SolverPort,
  context: TaskContext,
  tell: Tell,
  candidates: number,
  dataFolder: string,
): BlendResult {
  const levels = new Set(request.aims.map(({ priority }) => priority)).size;
  try {
    return planBlend(problem, {
      solver,
      clock,
      timeLimitSeconds: request.timeLimitSeconds,
      shouldStop: context.shouldStop,
      onProgress: (progress) => {
        tell({ ...detailOf(progress, request), levels, candidates });
      },
    });
  } catch (error) {
    // Wishes that contradict themselves are the asker's; anything else is a fault to be looked into.
    if (error instanceof RangeError)
      throw new Refusal(
        422,
        'blend-not-askable',
        `The wishes can't be asked as they are: ${error.message}.`,
      );
    const file = keepProblem(dataFolder, problem, new Date());
    const told = error instanceof Error ? error.message : String(error);
    throw new Refusal(
      500,
      'blend-failed',
      `The search failed (${told}). What it was asked was kept for inspection in ${file}.`,
    );
  }
}

function detailOf(progress: BlendProgress, request: BlendRequest): Record<string, unknown> {
  const { stage, value, bound, relativeGap, casks, priority } = progress;
  const sign = signOf(request, priority);
  return {
    stage,
    priority,
    incumbent: value === null ? null : sign * value,
    bound: bound === null ? null : sign * bound,
    gap: relativeGap,
    casks,
    unit: unitOf(request, priority),
  };
}

interface More {
  readonly problem: BlendProblem;
  readonly request: BlendRequest;
  readonly solver: SolverPort;
  readonly context: TaskContext;
  readonly tell: Tell;
}

function furtherPlans(best: BlendPlan, more: More): Alternative[] {
  const { problem, request, solver, context, tell } = more;
  if (request.alternatives === 0) return [];
  tell({ stage: 'alternatives' });
  return blendAlternatives(problem, best, {
    solver,
    clock,
    count: request.alternatives,
    timeLimitSeconds: request.alternatives * SECONDS_FOR_AN_ALTERNATIVE,
    shouldStop: context.shouldStop,
    withinRelative: 0.25,
  });
}

function priceOfMore(best: Extract<BlendResult, { plan: BlendPlan }>, more: More) {
  const { problem, request, solver, context, tell } = more;
  return blendSensitivity(problem, best, request, {
    solver,
    clock,
    seconds: Math.min(SENSITIVITY_SECONDS, request.timeLimitSeconds),
    shouldStop: context.shouldStop,
    onQuestion: (what) => {
      tell({ stage: 'asking', what });
    },
  });
}

function choicesOf(
  best: BlendPlan,
  alternatives: readonly Alternative[],
  context: { request: BlendRequest; problem: BlendProblem; candidates: readonly Candidate[] },
): BlendChoice[] {
  return [
    blendChoice(best, context, { lossToBest: 0, casksChanged: 0 }),
    ...alternatives.map(({ plan, relativeLoss, differentCasks }) =>
      blendChoice(plan, context, { lossToBest: relativeLoss, casksChanged: differentCasks }),
    ),
  ];
}

const fewerWords = ({ length }: readonly Alternative[]): string[] => [
  length === 0
    ? 'No other plan that differs enough is near it.'
    : `Only ${String(length)} other ${length === 1 ? 'plan that differs enough is' : 'plans that differ enough are'} near it.`,
];

/** The cheapest plan often lies at the edge of what is asked; then what the casks really hold easily falls outside. */
function mixedDutyWords({ draws }: BlendPlan, { casks }: BlendProblem): string[] {
  const drawn = new Set(draws.map(({ caskId }) => caskId));
  const statuses = new Set(
    casks.flatMap(({ id, attributes }) => (drawn.has(id) ? [attributes[DUTY]] : [])),
  );
  return statuses.size < 2
    ? []
    : [
        'Its casks are of both duty statuses, and no vat takes both: release those under suspension before reserving, and check with your authority.',
      ];
}

function edgeWords(plan: BlendPlan, request: BlendRequest): string[] {
  if (isAim(request, 'closest-to-target')) return [];
  const { lowLitresAt20C, highLitresAt20C } = windowsOf(request);
  const at = (plan.vat.bulkLitresAt20C - lowLitresAt20C) / (highLitresAt20C - lowLitresAt20C);
  if (at > 0.05 && at < 0.95) return [];
  return [
    `The plan lies at the ${at <= 0.05 ? 'lower' : 'upper'} edge of the volume asked for; add the aim “closest to the target” for one in the middle.`,
  ];
}
