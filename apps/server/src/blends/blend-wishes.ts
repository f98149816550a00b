/** Wishes about what is in the casks: shares, counts, rules, scores. */
import type { BlendAttribute, BlendRequest } from '@rundlet/contracts';
import type { Wish } from '@rundlet/blending';
import type { AttributeBook } from './blend-attributes.ts';

/** Leaves out what is not asked for. */
export const given = <K extends string, V>(key: K, value: V | undefined): Partial<Record<K, V>> =>
  (value === undefined ? {} : { [key]: value }) as Partial<Record<K, V>>;

/** A score, as attributes write it, so that it can't be taken for another attribute. */
export const scoreAttribute = (name: string): string => `score: ${name}`;

/** A quality hold, as candidates carry it. */
export const holdWords = (reason: string): string => `on hold: ${reason}`;

/** Duty status, as candidates carry it. */
export const DUTY = 'duty status';
export const DUTY_WORDS = {
  suspended: 'spirit under duty suspension',
  paid: 'duty-paid spirit',
} as const;

const NAMES: Readonly<Record<BlendAttribute, string>> = {
  woodSpecies: 'wood',
  caskKind: 'kind of cask',
  previousContents: 'previous contents',
  fillNumber: 'fill number',
  spiritLot: 'spirit lot',
  plot: 'plot',
  variety: 'variety',
  harvestYear: 'harvest year',
  account: 'owner',
  zone: 'zone',
  store: 'store',
};
/** An attribute as a person calls it. */
export const nameOf = (attribute: string): string =>
  NAMES[attribute as BlendAttribute] ?? attribute;

export function attributeWishes(
  request: BlendRequest,
  book: Pick<AttributeBook, 'valueOf'>,
): Wish[] {
  const basis = (of: 'alcohol' | 'bulk') => (of === 'alcohol' ? 'lpa' : 'bulk');
  return [
    ...(request.rules ?? []).map(({ rule, attribute, values }, i): Wish => ({
      id: `rule:${String(i)}`,
      kind: rule,
      attribute,
      among: { values: values.map((value) => book.valueOf(attribute, value)) },
      words: `${rule === 'only' ? 'only casks' : 'no cask'} of ${nameOf(attribute)} ${values.join(' or ')}`,
    })),
    ...(request.shares ?? []).map((share, i): Wish => ({
      id: `share:${String(i)}`,
      kind: 'share',
      attribute: share.attribute,
      among: { values: [book.valueOf(share.attribute, share.value)] },
      of: basis(share.of),
      words: shareWords(share),
      ...given('floor', hundredth(share.atLeastPercent)),
      ...given('cap', hundredth(share.atMostPercent)),
    })),
    ...(request.eachShare ?? []).map(({ attribute, of, atMostPercent }, i): Wish => ({
      id: `each:${String(i)}`,
      kind: 'each-share',
      attribute,
      of: basis(of),
      cap: atMostPercent / 100,
      words: `no single ${nameOf(attribute)} above ${String(atMostPercent)} % of the ${basisWords(of)}`,
    })),
    ...(request.distinct ?? []).map(
      ({ attribute, atLeast, atMost, leastSharePercent }, i): Wish => ({
        id: `distinct:${String(i)}`,
        kind: 'distinct',
        attribute,
        words: `${bounds(atLeast, atMost, '')} different by ${nameOf(attribute)}${leastSharePercent === undefined ? '' : `, each from ${String(leastSharePercent)} % of the alcohol on`}`,
        ...given('atLeast', atLeast),
        ...given('atMost', atMost),
        ...given('leastShareOfLpa', hundredth(leastSharePercent)),
      }),
    ),
    ...(request.scores ?? []).map(({ name, low, high }, i): Wish => ({
      id: `score:${String(i)}`,
      kind: 'score',
      attribute: scoreAttribute(name),
      of: 'lpa',
      words: `mean ${name} ${bounds(low, high, '')}, from casks that have it`,
      ...given('low', low),
      ...given('high', high),
    })),
  ];
}

const hundredth = (percent: number | undefined): number | undefined =>
  percent === undefined ? undefined : percent / 100;

const basisWords = (of: 'alcohol' | 'bulk'): string =>
  of === 'alcohol' ? 'alcohol' : 'litres drawn';

function shareWords(share: NonNullable<BlendRequest['shares']>[number]): string {
  const limits = bounds(share.atLeastPercent, share.atMostPercent, ' %');
  return `${limits} of the ${basisWords(share.of)} from ${nameOf(share.attribute)} ${share.value}`;
}

function bounds(least: number | undefined, most: number | undefined, unit: string): string {
  const told = [
    ...(least === undefined ? [] : [`at least ${String(least)}${unit}`]),
    ...(most === undefined ? [] : [`at most ${String(most)}${unit}`]),
  ];
  return told.join(' and ') || 'any number';
}
