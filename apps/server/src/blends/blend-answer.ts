/** The planner's result as the answer a blender reads. */
import type { BlendAnswer, BlendRequest } from '@rundlet/contracts';
import type {
  BlendPlan,
  BlendProblem,
  BlendResult,
  CandidateCask,
  Relaxation,
  VatForecast,
} from '@rundlet/blending';
import { waterDensity20C } from '@rundlet/alcoholometry';
import type { Candidate } from './blend-candidates.ts';
import { AIM_UNITS } from './blend-problem.ts';

type Solved = Extract<BlendResult, { plan: BlendPlan }>;

export interface AnswerParts {
  readonly request: BlendRequest;
  readonly problem: BlendProblem;
  readonly candidates: readonly Candidate[];
  readonly result: BlendResult;
  readonly forecast: VatForecast | null;
  readonly sensitivity: BlendAnswer['sensitivity'];
  readonly seconds: number;
  readonly stopped: boolean;
  /** Where the model of a failed run was kept. */
  readonly savedModel: string | null;
  /** What the figures rest on. */
  readonly notes: readonly string[];
}

export function blendAnswer(a: AnswerParts): BlendAnswer {
  const { request, candidates, result, seconds } = a;
  const solved = 'plan' in result ? result : null;
  return {
    status: a.stopped && !solved ? 'cancelled' : result.status,
    gap: solved ? solved.relativeGap : null,
    objective: solved ? objectiveOf(request, solved) : null,
    candidates: candidates.length,
    excluded: excludedOf(request, candidates),
    parts: solved ? partsOf(solved.plan, candidates) : [],
    waterLitresAt20C: solved?.plan.water.litresAt20C ?? 0,
    result: solved ? vatOf(solved.plan) : null,
    interval: a.forecast ? intervalOf(a.forecast, request) : null,
    shares: solved ? sharesOf(solved.plan) : [],
    conflict: result.status === 'infeasible' ? conflictOf(result) : [],
    sensitivity: a.sensitivity,
    seconds,
    message: messageOf(a),
  };
}

function objectiveOf({ aim }: BlendRequest, { levels }: Solved): BlendAnswer['objective'] {
  const [first] = levels;
  if (!first) return null;
  // The planner minimises; the alcohol at risk that a plan uses up is the more the better.
  const sign = aim === 'at-risk-first' ? -1 : 1;
  return { aim, value: sign * first.value, bound: sign * first.bound, unit: AIM_UNITS[aim] };
}

/** In the order of a walk through the stores. */
function partsOf(plan: BlendPlan, candidates: readonly Candidate[]): BlendAnswer['parts'] {
  const byId = new Map(candidates.map((c) => [c.fillingId, c]));
  const alcohol = plan.draws.reduce((sum, d) => sum + d.litresPureAlcohol, 0);
  return plan.draws
    .flatMap((draw): BlendAnswer['parts'] => {
      const candidate = byId.get(draw.caskId);
      if (!candidate) return [];
      const { fillingId, caskId, caskCode, positionCode, walkOrder, line, cask } = candidate;
      return [
        {
          fillingId,
          caskId,
          caskCode,
          positionCode,
          walkOrder,
          ageYears: cask.ageYears,
          takeLitresAt20C: draw.bulkLitresAt20C,
          strengthPercentVol: cask.strengthPercentVol,
          litresPureAlcohol: draw.litresPureAlcohol,
          shareOfAlcohol: draw.litresPureAlcohol / alcohol,
          whole: draw.whole,
          line,
        },
      ];
    })
    .sort(byWalk);
}

export function byWalk(
  a: { walkOrder: number | null; caskCode: string },
  b: { walkOrder: number | null; caskCode: string },
): number {
  const order = (a.walkOrder ?? Infinity) - (b.walkOrder ?? Infinity);
  if (order !== 0 && !Number.isNaN(order)) return order;
  return a.caskCode < b.caskCode ? -1 : 1;
}

function vatOf({ vat, draws, water }: BlendPlan): NonNullable<BlendAnswer['result']> {
  const drawn = draws.reduce((sum, d) => sum + d.bulkLitresAt20C, 0);
  return {
    bulkLitresAt20C: vat.bulkLitresAt20C,
    strengthPercentVol: vat.strengthPercentVol,
    litresPureAlcohol: vat.litresPureAlcohol,
    contractionLitres: drawn + (1000 * water.kg) / waterDensity20C - vat.bulkLitresAt20C,
  };
}

function intervalOf(forecast: VatForecast, request: BlendRequest): BlendAnswer['interval'] {
  const { bulkLitresAt20C: bulk, strengthPercentVol: strength } = forecast;
  return {
    bulkLow90: bulk.low,
    bulkHigh90: bulk.high,
    strengthLow90: strength.low,
    strengthHigh90: strength.high,
    chanceWithinTolerance: Math.min(
      1,
      request.water === 'none' ? forecast.chanceAsPlanned : forecast.chanceWithTrim,
    ),
  };
}

/** Of alcohol, by every attribute; what the map calls location is told by zone and store already. */
function sharesOf({ shares }: BlendPlan): BlendAnswer['shares'] {
  return Object.entries(shares).flatMap(([attribute, values]) =>
    attribute.startsWith('location.')
      ? []
      : values.map(({ value, shareOfLpa }) => ({ attribute, value, share: shareOfLpa })),
  );
}

function conflictOf(
  result: Extract<BlendResult, { status: 'infeasible' }>,
): BlendAnswer['conflict'] {
  return (result.conflict?.wishes ?? []).map(({ words, relaxation }) => ({
    wish: words,
    relaxation: relaxation.kind === 'not-tried' ? null : relaxation.words,
    enoughAlone: enoughAlone(relaxation),
  }));
}

const enoughAlone = ({ kind }: Relaxation): boolean | null =>
  kind === 'not-tried' ? null : kind !== 'not-enough';

/** Casks of the scope that can't be drawn from, each counted under the first reason that keeps it out. */
function excludedOf(
  request: BlendRequest,
  candidates: readonly Candidate[],
): BlendAnswer['excluded'] {
  const reasons: [string, (c: Candidate) => boolean][] = [
    ['on hold', ({ cask }) => (cask.holds ?? []).some((hold) => hold.startsWith('on hold'))],
    ['reserved for another plan', ({ cask }) => (cask.holds ?? []).length > 0],
    [
      'left alone by hand',
      (c) => [c.caskId, c.fillingId].some((id) => request.exclude?.includes(id)),
    ],
    [
      `younger than ${String(request.youngestYears ?? 0)} years`,
      ({ cask }) => cask.ageYears < (request.youngestYears ?? 0),
    ],
    [
      `weaker than ${String(request.leastStrengthPercentVol ?? 0)} % vol`,
      ({ cask }) => cask.strengthPercentVol < (request.leastStrengthPercentVol ?? 0),
    ],
    ['of another kind of cask', ({ cask }) => isOther(cask, 'caskKind', request.caskKinds)],
    ['of another wood', ({ cask }) => isOther(cask, 'woodSpecies', request.woodSpecies)],
    ['of another fill', ({ cask }) => isOther(cask, 'fillNumber', request.fillNumbers)],
  ];
  const counts = new Map<string, number>();
  for (const candidate of candidates) {
    const reason = reasons.find(([, applies]) => applies(candidate))?.[0];
    if (reason !== undefined) counts.set(reason, (counts.get(reason) ?? 0) + 1);
  }
  return [...counts].map(([reason, casks]) => ({ reason, casks }));
}

function isOther(
  cask: CandidateCask,
  attribute: string,
  wanted: readonly (string | number)[] | undefined,
): boolean {
  if (!wanted?.length) return false;
  const value = cask.attributes[attribute];
  return typeof value === 'object' || !wanted.some((one) => String(one) === String(value));
}

function messageOf({ result, savedModel, notes, stopped }: AnswerParts): string {
  const own =
    result.status === 'infeasible' ? (result.conflict?.words ?? result.words) : result.words;
  return [
    ...(stopped ? ['Stopped by hand.'] : []),
    ...(own === '' ? [] : [own]),
    ...(savedModel === null ? [] : [`The model was kept in ${savedModel} for inspection.`]),
    ...notes,
  ].join(' ');
}
