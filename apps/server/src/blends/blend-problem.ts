/** The blender's request as the planner's problem. */
import type { BlendAim, BlendCosts, BlendRequest } from '@rundlet/contracts';
import type { Aim, BlendProblem, CharacterFeature, LockedDraw, Wish } from '@rundlet/blending';
import { Refusal } from '../platform/refusals.ts';
import type { AttributeBook } from './blend-attributes.ts';
import type { Candidate } from './blend-candidates.ts';
import {
  attributeWishes,
  DUTY,
  DUTY_WORDS,
  given,
  holdWords,
  scoreAttribute,
} from './blend-wishes.ts';

/** What each aim is measured in. */
export const AIM_UNITS: Readonly<Record<BlendAim['kind'], string>> = {
  'least-cost': 'in your currency',
  'least-harm': 'years × L of pure alcohol',
  'at-risk-first': 'L of pure alcohol at risk',
  'fewest-casks': 'casks',
  'fewest-rows': 'rows',
  'least-heels': 'L left as heels',
  'closest-to-target': 'L off the target',
  'closest-to-character': 'steps off the character',
};

/** Less than this is no draw but a sample; common judgement, no published source. The blender may ask for another. */
const LEAST_PART_LITRES = 1;

type Values = Pick<AttributeBook, 'valueOf'>;

export function problemOf(
  request: BlendRequest,
  candidates: readonly Candidate[],
  book: Values,
  costs: BlendCosts,
): BlendProblem {
  const locks = locksOf(request, candidates);
  return {
    casks: candidates.map(({ cask }) => cask),
    wishes: [
      ...vatWishes(request),
      ...caskWishes(request),
      ...dutyWish(request, candidates),
      ...attributeWishes(request, book),
      ...handWishes(request, candidates),
    ],
    aims: request.aims.map((aim) => aimOf(aim, request, book, costs)),
    ...(locks.length === 0 ? {} : { locks }),
  };
}

export function windowsOf({ target }: Pick<BlendRequest, 'target'>) {
  const { bulkLitresAt20C: litres, strengthPercentVol: strength } = target;
  const share = target.volumeTolerancePercent / 100;
  const tolerance = target.strengthTolerancePercentVol;
  return {
    lowLitresAt20C: litres * (1 - share),
    highLitresAt20C: litres * (1 + share),
    lowPercentVol: Math.max(0.01, strength - tolerance),
    highPercentVol: Math.min(96.5, strength + tolerance),
  };
}

function vatWishes(request: BlendRequest): Wish[] {
  const { target } = request;
  const { lowLitresAt20C, highLitresAt20C, lowPercentVol, highPercentVol } = windowsOf(request);
  const wishes: Wish[] = [
    {
      id: 'volume',
      kind: 'volume',
      lowLitresAt20C,
      highLitresAt20C,
      targetLitresAt20C: target.bulkLitresAt20C,
    },
    {
      id: 'strength',
      kind: 'strength',
      lowPercentVol,
      highPercentVol,
      targetPercentVol: target.strengthPercentVol,
    },
    {
      id: 'take',
      kind: 'take',
      mode: ({ 'whole-casks': 'whole', 'part-casks': 'part', both: 'either' } as const)[
        request.parts
      ],
      leastPartLitresAt20C: request.leastPartLitres ?? LEAST_PART_LITRES,
      ...given('leastHeelLitresAt20C', request.leastHeelLitres),
      ...given('mostPartCasks', request.mostPartCasks),
    },
  ];
  if (request.water === 'none') wishes.push({ id: 'water', kind: 'water', mostLitresAt20C: 0 });
  else if (request.mostWaterLitres !== undefined || request.leastWaterLitres)
    wishes.push({
      id: 'water',
      kind: 'water',
      // No vat takes more water than it holds.
      mostLitresAt20C: request.mostWaterLitres ?? highLitresAt20C,
      ...given('leastLitresAt20C', request.leastWaterLitres),
    });
  return wishes;
}

/** An age or strength floor of nought asks for nothing. */
const above0 = (value: number | undefined): number | undefined =>
  value === undefined || value <= 0 ? undefined : value;

function caskWishes(request: BlendRequest): Wish[] {
  const wishes: Wish[] = [];
  const youngest = above0(request.youngestYears);
  if (youngest !== undefined || request.oldestYears !== undefined)
    wishes.push({
      id: 'age',
      kind: 'age',
      ...given('leastYears', youngest),
      ...given('mostYears', request.oldestYears),
    });
  const mean = above0(request.leastMeanYears);
  if (mean !== undefined) wishes.push({ id: 'mean-age', kind: 'mean-age', leastYears: mean });
  const weakest = above0(request.leastStrengthPercentVol);
  if (weakest !== undefined || request.mostStrengthPercentVol !== undefined)
    wishes.push({
      id: 'cask-strength',
      kind: 'cask-strength',
      ...given('leastPercentVol', weakest),
      ...given('mostPercentVol', request.mostStrengthPercentVol),
    });
  if (request.mostCasks !== undefined || request.leastCasks)
    wishes.push({
      id: 'cask-count',
      kind: 'cask-count',
      ...given('atLeast', request.leastCasks),
      ...given('atMost', request.mostCasks),
    });
  if (request.mostRows !== undefined)
    wishes.push({ id: 'row-count', kind: 'row-count', atMost: request.mostRows });
  if (request.mostCost !== undefined)
    wishes.push({ id: 'budget', kind: 'budget', mostCost: request.mostCost });
  if (request.admitHolds?.length)
    wishes.push({
      id: 'holds',
      kind: 'holds',
      admit: request.admitHolds.map(holdWords),
      words: 'no cask on hold but those admitted',
    });
  return wishes;
}

/** Says something only where casks of another duty status are there to be drawn from. */
function dutyWish({ dutyStatus }: BlendRequest, candidates: readonly Candidate[]): Wish[] {
  if (dutyStatus === 'either' || candidates.every((c) => c.cask.attributes[DUTY] === dutyStatus))
    return [];
  return [
    {
      id: 'duty',
      kind: 'only',
      attribute: DUTY,
      among: { values: [dutyStatus] },
      words: `only ${DUTY_WORDS[dutyStatus]}`,
    },
  ];
}

/** Casks put in or left out by hand; the request names casks, the problem fillings. Words name them by their codes. */
function handWishes({ include, exclude }: BlendRequest, candidates: readonly Candidate[]): Wish[] {
  const wishes: Wish[] = [];
  for (const [kind, ids, words] of [
    ['include', include, 'in the blend'],
    ['exclude', exclude, 'left alone'],
  ] as const) {
    if (!ids?.length) continue;
    const named = candidates.filter(
      ({ caskId, fillingId }) => ids.includes(caskId) || ids.includes(fillingId),
    );
    if (kind === 'include') requireAll(ids, named, 'must be in the blend');
    if (named.length === 0) continue;
    wishes.push({
      id: kind,
      kind,
      caskIds: named.map(({ fillingId }) => fillingId),
      words: `${named.length === 1 ? 'cask' : 'casks'} ${codes(named)} ${words}`,
    });
  }
  return wishes;
}

function locksOf({ locks }: BlendRequest, candidates: readonly Candidate[]): LockedDraw[] {
  if (!locks?.length) return [];
  const byId = new Map(
    candidates.flatMap((c) => [
      [c.caskId, c],
      [c.fillingId, c],
    ]),
  );
  const found = locks.flatMap((lock) => byId.get(lock.caskId) ?? []);
  requireAll(
    locks.map(({ caskId }) => caskId),
    found,
    'are kept',
  );
  return locks.flatMap(({ caskId, litresAt20C }) => {
    const candidate = byId.get(caskId);
    if (!candidate) return [];
    // Forecast to another day, a cask may hold a little less than was to be drawn from it.
    const whole = litresAt20C === undefined || litresAt20C >= candidate.cask.bulkLitresAt20C - 1e-6;
    return [{ caskId: candidate.fillingId, ...(whole ? {} : { bulkLitresAt20C: litresAt20C }) }];
  });
}

function requireAll(ids: readonly string[], found: readonly Candidate[], why: string): void {
  const missing = ids.filter(
    (id) => !found.some(({ caskId, fillingId }) => caskId === id || fillingId === id),
  );
  if (missing.length > 0)
    throw new Refusal(
      422,
      'cask-not-in-scope',
      `${String(missing.length)} of the casks that ${why} can't be planned with: emptied since, or outside the store or owner chosen. Take them out of the wishes or widen the choice.`,
    );
}

const MOST_NAMED = 5;
function codes(named: readonly Candidate[]): string {
  const told = named.slice(0, MOST_NAMED).map(({ caskCode }) => caskCode);
  const rest = named.length - told.length;
  return told.join(', ') + (rest > 0 ? ` and ${String(rest)} more` : '');
}

function aimOf(
  { kind, priority, weight }: BlendAim,
  request: BlendRequest,
  book: Values,
  costs: BlendCosts,
): Aim {
  const level = { priority, weight };
  switch (kind) {
    case 'least-cost':
      return { kind: 'cost', waterCostPerLitre: costs.waterPerLitre, ...level };
    case 'least-harm':
      return { kind: 'future', ...level };
    case 'at-risk-first':
      return { kind: 'at-risk', ...level };
    case 'fewest-casks':
      return { kind: 'movements', perCask: 1, perRow: 0, ...level };
    case 'fewest-rows':
      return { kind: 'movements', perCask: 0, perRow: 1, ...level };
    case 'least-heels':
      return { kind: 'heels', ...level };
    case 'closest-to-target':
      return { kind: 'target', ...offTargetOf(request), ...level };
    case 'closest-to-character':
      return { kind: 'closeness', features: featuresOf(request, book), ...level };
  }
}

/** One per cent of the volume counts as much as a tenth of a per cent by volume, unless it is said otherwise. */
function offTargetOf({ target, offTarget }: BlendRequest) {
  return {
    perLitre: offTarget?.perLitre ?? 1,
    perPercentVol:
      offTarget === undefined ? target.bulkLitresAt20C / 10 : 10 * offTarget.perTenthPercentVol,
  };
}

function featuresOf({ character }: BlendRequest, book: Values): CharacterFeature[] {
  if (!character?.length)
    throw new Refusal(
      422,
      'character-not-given',
      'To come close to a character, say which: at least one score or share with the figure wanted.',
    );
  return character.map((feature) =>
    feature.feature === 'score'
      ? {
          feature: 'score',
          attribute: scoreAttribute(feature.name),
          of: 'lpa',
          target: feature.target,
          scale: feature.scale,
        }
      : {
          feature: 'share',
          attribute: feature.attribute,
          among: { values: [book.valueOf(feature.attribute, feature.value)] },
          of: 'lpa',
          target: feature.targetPercent / 100,
          scale: feature.scalePercent / 100,
        },
  );
}
