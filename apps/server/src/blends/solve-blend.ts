/** The whole way from a request to its answer, in a worker thread of its own. */
import { mkdirSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import {
  forecastVat,
  highsSolver,
  planBlend,
  type BlendPlan,
  type BlendProblem,
  type BlendProgress,
  type SolverPort,
} from '@rundlet/blending';
import type { BlendAnswer, BlendRequest } from '@rundlet/contracts';
import loadHighs from 'highs';
import type { TaskContext } from '../jobs/serve-tasks.ts';
import { workerRows } from '../jobs/worker-database.ts';
import { Beliefs } from '../maturation/beliefs.ts';
import { PRIORS_ID } from '../maturation/calibration-rows.ts';
import { blendAnswer } from './blend-answer.ts';
import { AttributeBook } from './blend-attributes.ts';
import { blendCandidates } from './blend-candidates.ts';
import { blendCosts } from './blend-costs.ts';
import { AIM_UNITS, problemOf, windowsOf } from './blend-problem.ts';

/** Errors of casks in one zone share the weather and the calibration; common judgement, no published source. */
const WITHIN_ZONE = 0.3;
const BETWEEN_ZONES = 0.1;
/** What is left of the time limit after the answer goes to asking what a little more would cost. */
const SENSITIVITY_SECONDS = 4;

/** Its types describe the CommonJS module, of which an import gives the function itself. */
const load = loadHighs as unknown as typeof loadHighs.default;

const clock = (): number => performance.now() / 1000;

export async function solveBlend(
  request: BlendRequest,
  context: TaskContext,
): Promise<BlendAnswer> {
  const began = clock();
  const rows = await workerRows(context.settings);
  const beliefs = new Beliefs();
  const told = (detail: Record<string, unknown>, share: number | null = null): void => {
    context.progress({ share, detail: { ...detail, seconds: clock() - began } });
  };
  told({ stage: 'gathering' });
  const knowledge = await beliefs.knowledge(rows);
  const book = await AttributeBook.open(rows);
  const { costs, assumed } = await blendCosts(rows);
  const candidates = await blendCandidates(rows, beliefs, request, {
    knowledge,
    book,
    costs,
    shouldStop: context.shouldStop,
    onProgress: (casks) => {
      told({ stage: 'forecasting', candidates: casks });
    },
  });
  const problem = problemOf(request, candidates, book, costs);
  const solver = highsSolver(await load());
  const unit = AIM_UNITS[request.aim];
  const solving = clock();
  const result = planBlend(problem, {
    solver,
    clock,
    timeLimitSeconds: request.timeLimitSeconds,
    shouldStop: context.shouldStop,
    onProgress: (progress) => {
      told({ ...detailOf(progress, request), unit, candidates: candidates.length });
    },
  });
  const spent = clock() - solving;
  const plan = 'plan' in result ? result.plan : null;
  const savedModel =
    result.status === 'failed' && result.modelText !== undefined
      ? keepModel(context.settings.dataFolder, result.modelText)
      : null;
  const stopped = context.shouldStop();
  const sensitivity =
    plan && result.status === 'proven-best' && !stopped
      ? askForMore(problem, plan, request, solver, {
          seconds: Math.min(SENSITIVITY_SECONDS, request.timeLimitSeconds - spent),
          shouldStop: context.shouldStop,
        })
      : [];
  return blendAnswer({
    request,
    problem,
    candidates,
    result,
    sensitivity,
    stopped,
    savedModel,
    forecast: plan
      ? forecastVat(problem, plan, {
          coverage: 0.9,
          withinGroupCorrelation: WITHIN_ZONE,
          betweenGroupsCorrelation: BETWEEN_ZONES,
        })
      : null,
    seconds: clock() - began,
    notes: [
      ...(plan ? edgeWords(plan, request) : []),
      ...(knowledge.calibrationId === PRIORS_ID
        ? ['Casks were forecast from published rates: nothing has been learnt from regauges yet.']
        : []),
      ...(assumed && request.aim === 'least-cost'
        ? ['The costs are assumed; set your own under blend.costs.']
        : []),
    ],
  });
}

function detailOf(progress: BlendProgress, { aim }: BlendRequest): Record<string, unknown> {
  const { stage, value, bound, relativeGap, casks } = progress;
  const sign = aim === 'at-risk-first' ? -1 : 1;
  return {
    stage,
    incumbent: value === null ? null : sign * value,
    bound: bound === null ? null : sign * bound,
    gap: relativeGap,
    casks,
  };
}

/** What one per cent more volume, or a tenth of a per cent more strength, adds to the aim, by planning it. */
function askForMore(
  problem: BlendProblem,
  plan: BlendPlan,
  request: BlendRequest,
  solver: SolverPort,
  limits: { seconds: number; shouldStop: () => boolean },
): BlendAnswer['sensitivity'] {
  const value = plan.aims[0]?.figure;
  if (value === undefined || limits.seconds < 0.5) return [];
  const litres = request.target.bulkLitresAt20C / 100;
  const more: [string, number, BlendProblem][] = [
    ['one litre more', litres, shifted(problem, { litres, percentVol: 0 })],
    ['0.1 % vol more', 1, shifted(problem, { litres: 0, percentVol: 0.1 })],
  ];
  const until = clock() + limits.seconds;
  return more.flatMap(([what, steps, changed], i) => {
    const timeLimitSeconds = (until - clock()) / (more.length - i);
    if (timeLimitSeconds < 0.2 || limits.shouldStop()) return [];
    const { shouldStop } = limits;
    const result = planBlend(changed, {
      solver,
      clock,
      timeLimitSeconds,
      shouldStop,
      explain: false,
    });
    if (result.status !== 'proven-best') return [];
    const figure = result.plan.aims[0]?.figure ?? value;
    return [{ what, costs: (figure - value) / steps, unit: AIM_UNITS[request.aim] }];
  });
}

function shifted(
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
          targetLitresAt20C: (wish.targetLitresAt20C ?? 0) + litres,
        };
      if (wish.kind === 'strength')
        return {
          ...wish,
          lowPercentVol: wish.lowPercentVol + percentVol,
          highPercentVol: wish.highPercentVol + percentVol,
          targetPercentVol: (wish.targetPercentVol ?? 0) + percentVol,
        };
      return wish;
    }),
  };
}

/** The cheapest plan often lies at the edge of what is asked; then what the casks really hold easily falls outside. */
function edgeWords(plan: BlendPlan, request: BlendRequest): string[] {
  if (request.aim === 'closest-to-target') return [];
  const { lowLitresAt20C, highLitresAt20C } = windowsOf(request);
  const at = (plan.vat.bulkLitresAt20C - lowLitresAt20C) / (highLitresAt20C - lowLitresAt20C);
  if (at > 0.05 && at < 0.95) return [];
  return [
    `The plan lies at the ${at <= 0.05 ? 'lower' : 'upper'} edge of the volume asked for; aim closest to the target for one in the middle.`,
  ];
}

function keepModel(dataFolder: string, text: string): string {
  const folder = join(dataFolder, 'failed-models');
  mkdirSync(folder, { recursive: true, mode: 0o700 });
  const file = join(folder, `${new Date().toISOString().replaceAll(':', '-')}.mps`);
  writeFileSync(file, text, { mode: 0o600 });
  return file;
}
