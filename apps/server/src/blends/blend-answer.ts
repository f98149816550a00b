/** The planner's result as the answer a blender reads. */
import type { BlendPlan, BlendResult, CandidateCask, Relaxation } from '@rundlet/blending';
import {
  DUTY_STATUSES,
  type BlendAnswer,
  type BlendChoice,
  type BlendRequest,
} from '@rundlet/contracts';
import type { Candidate } from './blend-candidates.ts';
import { AIM_UNITS } from './blend-problem.ts';
import { DUTY, DUTY_WORDS, nameOf } from './blend-wishes.ts';
import { relaxedRequest } from './relaxed-request.ts';

type Solved = Extract<BlendResult, { plan: BlendPlan }>;

export interface AnswerParts {
  readonly request: BlendRequest;
  readonly candidates: readonly Candidate[];
  readonly result: BlendResult;
  readonly plans: readonly BlendChoice[];
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
    levels: solved ? solved.levels.map((level) => levelOf(level, request)) : [],
    candidates: candidates.length,
    excluded: excludedOf(request, candidates),
    plans: [...a.plans],
    conflict: result.status === 'infeasible' ? conflictOf(result, request) : [],
    sensitivity: a.sensitivity,
    seconds,
    message: messageOf(a),
  };
}

/** What a level of the aims is measured in; several aims weighed together have no one unit. */
export function unitOf({ aims }: Pick<BlendRequest, 'aims'>, priority: number): string {
  const [only, ...others] = aims.filter((aim) => aim.priority === priority);
  return only && others.length === 0 && only.weight === 1
    ? AIM_UNITS[only.kind]
    : 'points, the aims weighed together';
}

/** The planner minimises; alcohol at risk alone is told as the amount used up, the more the better. */
export function signOf({ aims }: Pick<BlendRequest, 'aims'>, priority: number): 1 | -1 {
  const level = aims.filter((aim) => aim.priority === priority);
  return level.length === 1 && level[0]?.kind === 'at-risk-first' ? -1 : 1;
}

function levelOf(
  { priority, value, bound, relativeGap }: Solved['levels'][number],
  request: BlendRequest,
): BlendAnswer['levels'][number] {
  const sign = signOf(request, priority);
  // Nothing bounds what was stopped before its first relaxation was solved.
  const known = Number.isFinite(bound) ? bound : value - Math.abs(value) * 1e3;
  return {
    priority,
    value: sign * value,
    bound: sign * known,
    gap: Number.isFinite(relativeGap) ? relativeGap : 1e3,
    unit: unitOf(request, priority),
  };
}

function conflictOf(
  result: Extract<BlendResult, { status: 'infeasible' }>,
  request: BlendRequest,
): BlendAnswer['conflict'] {
  return (result.conflict?.wishes ?? []).map(({ wishId, words, relaxation }) => ({
    wishId,
    wish: words,
    relaxation: relaxationWords(relaxation),
    enoughAlone: enoughAlone(relaxation),
    relaxed: relaxedRequest(request, wishId, relaxation),
  }));
}

function relaxationWords(relaxation: Relaxation): string | null {
  switch (relaxation.kind) {
    case 'not-tried':
      return null;
    case 'change':
      return relaxation.exact
        ? relaxation.words
        : `${relaxation.words}; whole casks may need a little more`;
    default:
      return relaxation.words;
  }
}

const enoughAlone = ({ kind }: Relaxation): boolean | null =>
  kind === 'not-tried' ? null : kind !== 'not-enough';

type Reason = readonly [words: string, applies: (c: Candidate) => boolean];

/** Casks of the scope that can't be drawn from, each counted under the first reason that keeps it out. */
function excludedOf(
  request: BlendRequest,
  candidates: readonly Candidate[],
): BlendAnswer['excluded'] {
  const {
    youngestYears,
    oldestYears,
    leastStrengthPercentVol,
    mostStrengthPercentVol,
    dutyStatus,
  } = request;
  const admitted = new Set(request.admitHolds);
  const reasons: Reason[] = [
    [
      'on hold',
      ({ cask }) =>
        (cask.holds ?? []).some(
          (hold) => hold.startsWith('on hold: ') && !admitted.has(hold.slice('on hold: '.length)),
        ),
    ],
    [
      'reserved for another plan',
      ({ cask }) => (cask.holds ?? []).some((hold) => hold.startsWith('reserved')),
    ],
    ...(dutyStatus === 'either'
      ? []
      : DUTY_STATUSES.filter((other) => other !== dutyStatus).map((other): Reason => [
          DUTY_WORDS[other],
          ({ cask }) => cask.attributes[DUTY] === other,
        ])),
    [
      'left alone by hand',
      (c) => [c.caskId, c.fillingId].some((id) => request.exclude?.includes(id)),
    ],
    [
      `younger than ${String(youngestYears ?? 0)} years`,
      ({ cask }) => cask.ageYears < (youngestYears ?? 0),
    ],
    [
      `older than ${String(oldestYears ?? 0)} years`,
      ({ cask }) => cask.ageYears > (oldestYears ?? Infinity),
    ],
    [
      `weaker than ${String(leastStrengthPercentVol ?? 0)} % vol`,
      ({ cask }) => cask.strengthPercentVol < (leastStrengthPercentVol ?? 0),
    ],
    [
      `stronger than ${String(mostStrengthPercentVol ?? 0)} % vol`,
      ({ cask }) => cask.strengthPercentVol > (mostStrengthPercentVol ?? 100),
    ],
    ...(request.rules ?? []).map(({ rule, attribute, values }): Reason => [
      rule === 'only'
        ? `of another ${nameOf(attribute)}`
        : `of ${nameOf(attribute)} ${values.join(' or ')}`,
      ({ cask }) => {
        const has = hasAny(cask, attribute, values);
        return rule === 'only' ? !has : has;
      },
    ]),
  ];
  const counts = new Map<string, number>();
  for (const candidate of candidates) {
    const reason = reasons.find(([, applies]) => applies(candidate))?.[0];
    if (reason !== undefined) counts.set(reason, (counts.get(reason) ?? 0) + 1);
  }
  return [...counts].map(([reason, casks]) => ({ reason, casks }));
}

function hasAny(cask: CandidateCask, attribute: string, wanted: readonly string[]): boolean {
  const value = cask.attributes[attribute];
  const values = typeof value === 'object' ? Object.keys(value) : [String(value)];
  return values.some((one) => wanted.includes(one));
}

function messageOf(a: AnswerParts): string {
  const { result, savedModel, notes } = a;
  return [
    ...endWords(a),
    ...(result.status === 'infeasible' ? [result.conflict?.words ?? result.words] : []),
    ...('plan' in result || result.status === 'infeasible' ? [] : [sentence(result.words)]),
    ...(savedModel === null ? [] : [`The model was kept for inspection in ${savedModel}.`]),
    ...notes,
  ]
    .filter((words) => words !== '')
    .join(' ');
}

const sentence = (words: string): string =>
  words === '' || /[.!?]$/.test(words) ? words : `${words}.`;

/** Why the search ended, and what that says of the plan. */
function endWords({ result, stopped, request, plans }: AnswerParts): string[] {
  const ended = stopped
    ? 'Stopped by hand.'
    : result.status === 'within-gap' || result.status === 'no-plan-found'
      ? `The time limit of ${String(request.timeLimitSeconds)} s was reached.`
      : '';
  if (result.status === 'proven-best')
    return [ended, 'No other choice of casks that meets the wishes does better.'];
  if (result.status === 'within-gap') {
    const gap = gapWords(result.relativeGap);
    return [ended, `This is the best plan found; ${gap}.`];
  }
  if (stopped && plans.length === 0) return [ended, 'No plan had been found yet.'];
  return [ended];
}

/** A bound that says nothing is told as such. */
export function gapWords(gap: number): string {
  if (!Number.isFinite(gap) || gap > 1)
    return 'how far from best it may be was not narrowed down in that time';
  return `no plan can be better by more than ${(100 * gap).toFixed(gap < 0.001 ? 3 : 2)} %`;
}
