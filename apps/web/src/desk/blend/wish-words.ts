import type { BlendAim, BlendAttribute } from '@rundlet/contracts';

export const AIMS: readonly { value: BlendAim['kind']; label: string; unit: string }[] = [
  { value: 'least-harm', label: 'least taken from the stock’s future', unit: 'year × LPA' },
  { value: 'at-risk-first', label: 'casks near their strength floor first', unit: 'LPA at risk' },
  { value: 'least-cost', label: 'least cost', unit: 'of currency' },
  { value: 'fewest-casks', label: 'fewest casks moved', unit: 'cask' },
  { value: 'fewest-rows', label: 'fewest rows opened', unit: 'row' },
  { value: 'least-heels', label: 'least left as heels', unit: 'L' },
  { value: 'closest-to-target', label: 'closest to the target', unit: 'L off the target' },
  { value: 'closest-to-character', label: 'closest to a character', unit: 'step off it' },
];
export const aimLabel = (kind: BlendAim['kind']): string =>
  AIMS.find(({ value }) => value === kind)?.label ?? kind;

export const ATTRIBUTES: readonly { value: BlendAttribute; label: string }[] = [
  { value: 'previousContents', label: 'previous contents' },
  { value: 'woodSpecies', label: 'wood' },
  { value: 'caskKind', label: 'kind of cask' },
  { value: 'fillNumber', label: 'fill number' },
  { value: 'spiritLot', label: 'spirit lot' },
  { value: 'plot', label: 'plot' },
  { value: 'variety', label: 'variety' },
  { value: 'harvestYear', label: 'harvest year' },
  { value: 'account', label: 'owner' },
  { value: 'zone', label: 'zone' },
  { value: 'store', label: 'store' },
];

/** An attribute of a plan’s shares, in words. */
export const attributeLabel = (attribute: string): string =>
  ATTRIBUTES.find(({ value }) => value === attribute)?.label ?? attribute;

export const BASES = [
  { value: 'alcohol', label: 'pure alcohol' },
  { value: 'bulk', label: 'litres drawn' },
] as const;
