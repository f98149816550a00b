/** The blender's request as the planner's problem. */
import type { BlendAttribute, BlendRequest } from '@rundlet/contracts';
import type { Aim, BlendProblem, Wish } from '@rundlet/blending';
import type { AttributeBook } from './blend-attributes.ts';
import type { Candidate } from './blend-candidates.ts';
import type { BlendCosts } from './blend-costs.ts';

/** What the first level of each aim is measured in. */
export const AIM_UNITS: Readonly<Record<BlendRequest['aim'], string>> = {
  'least-cost': 'currency',
  'least-harm': 'years × L of pure alcohol',
  'at-risk-first': 'L of pure alcohol at risk',
  'fewest-casks': 'casks',
  'fewest-rows': 'rows',
  'closest-to-target': 'L off the target',
};

const NAMES: Readonly<Record<BlendAttribute, string>> = {
  woodSpecies: 'wood',
  caskKind: 'kind of cask',
  previousContents: 'previous contents',
  fillNumber: 'fill number',
  spiritLot: 'spirit lot',
  plot: 'plot',
  variety: 'variety',
  harvestYear: 'harvest year',
  account: 'account',
  zone: 'zone',
  store: 'store',
};
/** An attribute as a person calls it. */
export const nameOf = (attribute: string): string =>
  NAMES[attribute as BlendAttribute] ?? attribute;

export function problemOf(
  request: BlendRequest,
  candidates: readonly Candidate[],
  book: Pick<AttributeBook, 'valueOf'>,
  costs: BlendCosts,
): BlendProblem {
  return {
    casks: candidates.map(({ cask }) => cask),
    wishes: wishesOf(request, candidates, book),
    aims: aimsOf(request, costs),
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

function wishesOf(
  request: BlendRequest,
  candidates: readonly Candidate[],
  book: Pick<AttributeBook, 'valueOf'>,
): Wish[] {
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
      ...(request.leastPartLitres === undefined
        ? {}
        : { leastPartLitresAt20C: request.leastPartLitres }),
      ...(request.leastHeelLitres === undefined
        ? {}
        : { leastHeelLitresAt20C: request.leastHeelLitres }),
    },
  ];
  if (request.water === 'none') wishes.push({ id: 'water', kind: 'water', mostLitresAt20C: 0 });
  if (request.youngestYears !== undefined && request.youngestYears > 0)
    wishes.push({ id: 'age', kind: 'age', leastYears: request.youngestYears });
  if (request.leastStrengthPercentVol !== undefined && request.leastStrengthPercentVol > 0)
    wishes.push({
      id: 'cask-strength',
      kind: 'cask-strength',
      leastPercentVol: request.leastStrengthPercentVol,
    });
  const only = (
    attribute: BlendAttribute,
    values: readonly (string | number)[] | undefined,
  ): void => {
    if (!values?.length) return;
    const words = `only casks of ${nameOf(attribute)} ${values.map(String).join(' or ')}`;
    wishes.push({ id: `only:${attribute}`, kind: 'only', attribute, among: { values }, words });
  };
  only('caskKind', request.caskKinds);
  only('woodSpecies', request.woodSpecies);
  only('fillNumber', request.fillNumbers);
  hand(request, candidates, wishes);
  for (const [i, share] of (request.shares ?? []).entries())
    wishes.push({
      id: `share:${String(i)}`,
      kind: 'share',
      attribute: share.attribute,
      among: { values: [book.valueOf(share.attribute, share.value)] },
      of: share.of === 'alcohol' ? 'lpa' : 'bulk',
      words: shareWords(share),
      ...(share.atLeastPercent === undefined ? {} : { floor: share.atLeastPercent / 100 }),
      ...(share.atMostPercent === undefined ? {} : { cap: share.atMostPercent / 100 }),
    });
  for (const [i, { attribute, atLeast, atMost }] of (request.distinct ?? []).entries())
    wishes.push({
      id: `distinct:${String(i)}`,
      kind: 'distinct',
      attribute,
      words: `${bounds(atLeast, atMost, '')} different by ${nameOf(attribute)}`,
      ...(atLeast === undefined ? {} : { atLeast }),
      ...(atMost === undefined ? {} : { atMost }),
    });
  if (request.mostCasks !== undefined)
    wishes.push({ id: 'cask-count', kind: 'cask-count', atMost: request.mostCasks });
  if (request.mostRows !== undefined)
    wishes.push({ id: 'row-count', kind: 'row-count', atMost: request.mostRows });
  return wishes;
}

function shareWords(share: NonNullable<BlendRequest['shares']>[number]): string {
  const limits = bounds(share.atLeastPercent, share.atMostPercent, ' %');
  const of = share.of === 'alcohol' ? 'alcohol' : 'litres drawn';
  return `${limits} of the ${of} from ${nameOf(share.attribute)} ${share.value}`;
}

function bounds(least: number | undefined, most: number | undefined, unit: string): string {
  const told = [
    ...(least === undefined ? [] : [`at least ${String(least)}${unit}`]),
    ...(most === undefined ? [] : [`at most ${String(most)}${unit}`]),
  ];
  return told.join(' and ') || 'any number';
}

/** Casks put in or left out by hand; the request names casks, the problem fillings. Words name them by their codes. */
function hand(
  { include, exclude }: BlendRequest,
  candidates: readonly Candidate[],
  wishes: Wish[],
): void {
  for (const [kind, ids, words] of [
    ['include', include, 'in the blend'],
    ['exclude', exclude, 'left alone'],
  ] as const) {
    if (!ids?.length) continue;
    const named = candidates.filter(
      ({ caskId, fillingId }) => ids.includes(caskId) || ids.includes(fillingId),
    );
    if (named.length === 0) continue;
    wishes.push({
      id: kind,
      kind,
      caskIds: named.map(({ fillingId }) => fillingId),
      words: `${named.length === 1 ? 'cask' : 'casks'} ${codes(named)} ${words}`,
    });
  }
}

const MOST_NAMED = 5;
function codes(named: readonly Candidate[]): string {
  const told = named.slice(0, MOST_NAMED).map(({ caskCode }) => caskCode);
  const rest = named.length - told.length;
  return told.join(', ') + (rest > 0 ? ` and ${String(rest)} more` : '');
}

function aimsOf({ aim, target }: BlendRequest, costs: BlendCosts): Aim[] {
  switch (aim) {
    case 'least-cost':
      return [{ kind: 'cost', waterCostPerLitre: costs.waterPerLitre }];
    case 'least-harm':
      return [{ kind: 'future' }];
    case 'at-risk-first':
      return [{ kind: 'at-risk' }];
    case 'fewest-casks':
      return [{ kind: 'movements', perCask: 1, perRow: 0 }];
    case 'fewest-rows':
      return [{ kind: 'movements', perCask: 0, perRow: 1 }];
    case 'closest-to-target':
      // One per cent of the volume counts as much as one tenth of a per cent by volume.
      return [{ kind: 'target', perLitre: 1, perPercentVol: target.bulkLitresAt20C / 10 }];
  }
}
