import { BlendRequest, type BlendAttribute } from '@rundlet/contracts';

/** What the wish form holds; empty fields are wishes not made. */
export interface Wishes {
  blendOn: string;
  litres: number | null;
  volumeTolerancePercent: number | null;
  strength: number | null;
  strengthTolerance: number | null;
  water: 'allowed' | 'none';
  parts: 'whole-casks' | 'part-casks' | 'both';
  youngestYears: number | null;
  mostCasks: number | null;
  mostRows: number | null;
  storeId: string;
  accountId: string;
  aim: BlendRequest['aim'];
  shares: ShareWish[];
  leastPlots: number | null;
  include: { id: string; code: string }[];
  exclude: { id: string; code: string }[];
}
export interface ShareWish {
  attribute: BlendAttribute;
  value: string;
  atLeastPercent: number | null;
  atMostPercent: number | null;
}

export const startWishes = (today: string): Wishes => ({
  blendOn: today,
  litres: 1000,
  volumeTolerancePercent: 1,
  strength: 46,
  strengthTolerance: 0.1,
  water: 'allowed',
  parts: 'whole-casks',
  youngestYears: null,
  mostCasks: null,
  mostRows: null,
  storeId: '',
  accountId: '',
  aim: 'least-harm',
  shares: [],
  leastPlots: null,
  include: [],
  exclude: [],
});

/** The request the wishes make, or what is wrong with them, by field. */
export function requestOf(
  w: Wishes,
): { request: BlendRequest; errors: null } | { request: null; errors: Map<string, string> } {
  const parsed = BlendRequest.safeParse({
    blendOn: w.blendOn,
    target: {
      bulkLitresAt20C: w.litres ?? undefined,
      volumeTolerancePercent: w.volumeTolerancePercent ?? undefined,
      strengthPercentVol: w.strength ?? undefined,
      strengthTolerancePercentVol: w.strengthTolerance ?? undefined,
    },
    water: w.water,
    parts: w.parts,
    aim: w.aim,
    youngestYears: w.youngestYears ?? undefined,
    mostCasks: w.mostCasks ?? undefined,
    mostRows: w.mostRows ?? undefined,
    ...(w.storeId ? { storeIds: [w.storeId] } : {}),
    ...(w.accountId ? { accountIds: [w.accountId] } : {}),
    ...(w.include.length > 0 ? { include: w.include.map((c) => c.id) } : {}),
    ...(w.exclude.length > 0 ? { exclude: w.exclude.map((c) => c.id) } : {}),
    ...(w.leastPlots === null ? {} : { distinct: [{ attribute: 'plot', atLeast: w.leastPlots }] }),
    shares: w.shares
      .filter((s) => s.value !== '')
      .map((s) => ({
        attribute: s.attribute,
        value: s.value,
        atLeastPercent: s.atLeastPercent ?? undefined,
        atMostPercent: s.atMostPercent ?? undefined,
      })),
  });
  if (parsed.success) return { request: parsed.data, errors: null };
  return {
    request: null,
    errors: new Map(parsed.error.issues.map((i) => [i.path.join('/'), i.message])),
  };
}

export const AIMS: readonly { value: BlendRequest['aim']; label: string }[] = [
  { value: 'least-harm', label: 'Least taken from the stock’s future' },
  { value: 'at-risk-first', label: 'Casks near their strength floor first' },
  { value: 'least-cost', label: 'Least cost' },
  { value: 'fewest-casks', label: 'Fewest casks' },
  { value: 'fewest-rows', label: 'Fewest rows opened' },
  { value: 'closest-to-target', label: 'Closest to the target' },
];
export const SHARE_OF: readonly { value: BlendAttribute; label: string }[] = [
  { value: 'woodSpecies', label: 'wood' },
  { value: 'caskKind', label: 'kind of cask' },
  { value: 'previousContents', label: 'earlier contents' },
  { value: 'fillNumber', label: 'filling number' },
  { value: 'plot', label: 'plot (by code)' },
  { value: 'spiritLot', label: 'spirit lot (by code)' },
  { value: 'variety', label: 'variety' },
  { value: 'harvestYear', label: 'harvest year' },
];

/** What an answer calls an attribute, in words. */
export const ATTRIBUTE_WORDS: Readonly<Record<string, string>> = {
  ...Object.fromEntries(SHARE_OF.map(({ value, label }) => [value, label])),
  plot: 'plot',
  spiritLot: 'spirit lot',
  account: 'owner',
  zone: 'zone',
  store: 'store',
};
