import { BlendRequest, type BlendAim, type BlendAttribute } from '@rundlet/contracts';

type Maybe = number | null;
export interface NamedCask {
  id: string;
  code: string;
}
export interface AimWish {
  kind: BlendAim['kind'];
  priority: number;
  weight: Maybe;
}
export interface CharacterWish {
  feature: 'score' | 'share';
  name: string;
  attribute: BlendAttribute;
  value: string;
  target: Maybe;
  scale: Maybe;
}
export interface ShareWish {
  attribute: BlendAttribute;
  value: string;
  of: 'alcohol' | 'bulk';
  atLeastPercent: Maybe;
  atMostPercent: Maybe;
}
export interface EachWish {
  attribute: BlendAttribute;
  of: 'alcohol' | 'bulk';
  atMostPercent: Maybe;
}
export interface DistinctWish {
  attribute: BlendAttribute;
  atLeast: Maybe;
  atMost: Maybe;
  leastSharePercent: Maybe;
}
export interface RuleWish {
  rule: 'only' | 'none';
  attribute: BlendAttribute;
  values: string[];
}
export interface ScoreWish {
  name: string;
  low: Maybe;
  high: Maybe;
}

/** What the wish form holds; empty fields are wishes not made. */
export interface Wishes {
  blendOn: string;
  litres: Maybe;
  volumeTolerancePercent: Maybe;
  strength: Maybe;
  strengthTolerance: Maybe;
  water: 'allowed' | 'none';
  leastWaterLitres: Maybe;
  mostWaterLitres: Maybe;
  parts: BlendRequest['parts'];
  leastPartLitres: Maybe;
  leastHeelLitres: Maybe;
  mostPartCasks: Maybe;
  youngestYears: Maybe;
  oldestYears: Maybe;
  leastMeanYears: Maybe;
  leastStrength: Maybe;
  mostStrength: Maybe;
  leastCasks: Maybe;
  mostCasks: Maybe;
  mostRows: Maybe;
  mostCost: Maybe;
  storeId: string;
  accountId: string;
  aims: AimWish[];
  perLitre: Maybe;
  perTenthPercentVol: Maybe;
  character: CharacterWish[];
  shares: ShareWish[];
  each: EachWish[];
  distinct: DistinctWish[];
  rules: RuleWish[];
  scores: ScoreWish[];
  include: NamedCask[];
  exclude: NamedCask[];
  locks: (NamedCask & { litres: Maybe })[];
  admitHolds: string[];
  dutyStatus: BlendRequest['dutyStatus'];
  insteadOfPlanId: string | null;
  alternatives: Maybe;
  timeLimitSeconds: Maybe;
}

export const startWishes = (today: string): Wishes => ({
  blendOn: today,
  litres: 1000,
  volumeTolerancePercent: 1,
  strength: 46,
  strengthTolerance: 0.1,
  water: 'allowed',
  leastWaterLitres: null,
  mostWaterLitres: null,
  parts: 'whole-casks',
  leastPartLitres: null,
  leastHeelLitres: null,
  mostPartCasks: null,
  youngestYears: null,
  oldestYears: null,
  leastMeanYears: null,
  leastStrength: null,
  mostStrength: null,
  leastCasks: null,
  mostCasks: null,
  mostRows: null,
  mostCost: null,
  storeId: '',
  accountId: '',
  aims: [{ kind: 'least-harm', priority: 1, weight: null }],
  perLitre: null,
  perTenthPercentVol: null,
  character: [],
  shares: [],
  each: [],
  distinct: [],
  rules: [],
  scores: [],
  include: [],
  exclude: [],
  locks: [],
  admitHolds: [],
  dutyStatus: 'suspended',
  insteadOfPlanId: null,
  alternatives: 2,
  timeLimitSeconds: 20,
});

/** Leaves out what is empty: an absent field is a wish not made. */
function present<T extends Record<string, unknown>>(fields: T): Partial<T> {
  return Object.fromEntries(
    Object.entries(fields).filter(
      ([, value]) =>
        value !== null && value !== '' && !(Array.isArray(value) && value.length === 0),
    ),
  ) as Partial<T>;
}

const aimsAt = (w: Wishes, kind: BlendAim['kind']): boolean => w.aims.some((a) => a.kind === kind);

/** The request the wishes make, or what is wrong with them, by field. */
export function requestOf(
  w: Wishes,
): { request: BlendRequest; errors: null } | { request: null; errors: Map<string, string> } {
  const parsed = BlendRequest.safeParse({
    blendOn: w.blendOn,
    target: present({
      bulkLitresAt20C: w.litres,
      volumeTolerancePercent: w.volumeTolerancePercent,
      strengthPercentVol: w.strength,
      strengthTolerancePercentVol: w.strengthTolerance,
    }),
    water: w.water,
    parts: w.parts,
    dutyStatus: w.dutyStatus,
    aims: w.aims.map(({ kind, priority, weight }) => ({ kind, priority, ...present({ weight }) })),
    ...present({
      ...(w.water === 'none'
        ? {}
        : { leastWaterLitres: w.leastWaterLitres, mostWaterLitres: w.mostWaterLitres }),
      ...(w.parts === 'whole-casks'
        ? {}
        : {
            leastPartLitres: w.leastPartLitres,
            leastHeelLitres: w.leastHeelLitres,
            mostPartCasks: w.mostPartCasks,
          }),
      youngestYears: w.youngestYears,
      oldestYears: w.oldestYears,
      leastMeanYears: w.leastMeanYears,
      leastStrengthPercentVol: w.leastStrength,
      mostStrengthPercentVol: w.mostStrength,
      leastCasks: w.leastCasks,
      mostCasks: w.mostCasks,
      mostRows: w.mostRows,
      mostCost: w.mostCost,
      storeIds: w.storeId ? [w.storeId] : [],
      accountIds: w.accountId ? [w.accountId] : [],
      include: w.include.map((c) => c.id),
      exclude: w.exclude.map((c) => c.id),
      locks: w.locks.map(({ id, litres }) => ({ caskId: id, ...present({ litresAt20C: litres }) })),
      admitHolds: w.admitHolds,
      insteadOfPlanId: w.insteadOfPlanId,
      alternatives: w.alternatives,
      timeLimitSeconds: w.timeLimitSeconds,
      // Rows of the form that say nothing yet ask for nothing.
      shares: w.shares
        .filter((s) => s.value !== '' && (s.atLeastPercent !== null || s.atMostPercent !== null))
        .map((s) => present({ ...s })),
      eachShare: w.each.filter((e) => e.atMostPercent !== null),
      distinct: w.distinct
        .filter((d) => d.atLeast !== null || d.atMost !== null)
        .map((d) => present({ ...d })),
      rules: w.rules.filter((r) => r.values.length > 0),
      scores: w.scores
        .filter((s) => s.name !== '' && (s.low !== null || s.high !== null))
        .map((s) => present({ ...s })),
      character: aimsAt(w, 'closest-to-character') ? characterOf(w) : [],
    }),
    ...(aimsAt(w, 'closest-to-target') && (w.perLitre !== null || w.perTenthPercentVol !== null)
      ? {
          offTarget: { perLitre: w.perLitre ?? 0, perTenthPercentVol: w.perTenthPercentVol ?? 0 },
        }
      : {}),
  });
  if (!parsed.success)
    return {
      request: null,
      errors: new Map(parsed.error.issues.map((i) => [i.path.join('/'), i.message])),
    };
  if (aimsAt(w, 'closest-to-character') && !parsed.data.character?.length)
    return {
      request: null,
      errors: new Map([['character', 'Say which score or share the character is made of.']]),
    };
  return { request: parsed.data, errors: null };
}

function characterOf({ character }: Wishes) {
  return character
    .filter(
      (c) =>
        c.target !== null && c.scale !== null && (c.feature === 'score' ? c.name : c.value) !== '',
    )
    .map((c) =>
      c.feature === 'score'
        ? { feature: c.feature, name: c.name, target: c.target, scale: c.scale }
        : {
            feature: c.feature,
            attribute: c.attribute,
            value: c.value,
            targetPercent: c.target,
            scalePercent: c.scale,
          },
    );
}

/** A request asked before, as the form holds it. Casks are named by the codes that are known for them. */
export function wishesOf(request: BlendRequest, codes: ReadonlyMap<string, string>): Wishes {
  const named = (id: string): NamedCask => ({ id, code: codes.get(id) ?? `…${id.slice(-6)}` });
  const { target } = request;
  return {
    ...startWishes(request.blendOn),
    litres: target.bulkLitresAt20C,
    volumeTolerancePercent: target.volumeTolerancePercent,
    strength: target.strengthPercentVol,
    strengthTolerance: target.strengthTolerancePercentVol,
    water: request.water,
    leastWaterLitres: request.leastWaterLitres ?? null,
    mostWaterLitres: request.mostWaterLitres ?? null,
    parts: request.parts,
    leastPartLitres: request.leastPartLitres ?? null,
    leastHeelLitres: request.leastHeelLitres ?? null,
    mostPartCasks: request.mostPartCasks ?? null,
    youngestYears: request.youngestYears ?? null,
    oldestYears: request.oldestYears ?? null,
    leastMeanYears: request.leastMeanYears ?? null,
    leastStrength: request.leastStrengthPercentVol ?? null,
    mostStrength: request.mostStrengthPercentVol ?? null,
    leastCasks: request.leastCasks ?? null,
    mostCasks: request.mostCasks ?? null,
    mostRows: request.mostRows ?? null,
    mostCost: request.mostCost ?? null,
    storeId: request.storeIds?.[0] ?? '',
    accountId: request.accountIds?.[0] ?? '',
    aims: request.aims.map(({ kind, priority, weight }) => ({
      kind,
      priority,
      weight: weight === 1 ? null : weight,
    })),
    perLitre: request.offTarget?.perLitre ?? null,
    perTenthPercentVol: request.offTarget?.perTenthPercentVol ?? null,
    character: (request.character ?? []).map((c): CharacterWish =>
      c.feature === 'score'
        ? { ...EMPTY_CHARACTER, ...c }
        : {
            ...EMPTY_CHARACTER,
            feature: 'share',
            attribute: c.attribute,
            value: c.value,
            target: c.targetPercent,
            scale: c.scalePercent,
          },
    ),
    shares: (request.shares ?? []).map((s) => ({
      ...s,
      atLeastPercent: s.atLeastPercent ?? null,
      atMostPercent: s.atMostPercent ?? null,
    })),
    each: request.eachShare ?? [],
    distinct: (request.distinct ?? []).map((d) => ({
      attribute: d.attribute,
      atLeast: d.atLeast ?? null,
      atMost: d.atMost ?? null,
      leastSharePercent: d.leastSharePercent ?? null,
    })),
    rules: request.rules ?? [],
    scores: (request.scores ?? []).map((s) => ({
      name: s.name,
      low: s.low ?? null,
      high: s.high ?? null,
    })),
    include: (request.include ?? []).map(named),
    exclude: (request.exclude ?? []).map(named),
    locks: (request.locks ?? []).map(({ caskId, litresAt20C }) => ({
      ...named(caskId),
      litres: litresAt20C ?? null,
    })),
    admitHolds: request.admitHolds ?? [],
    dutyStatus: request.dutyStatus,
    alternatives: request.alternatives,
    timeLimitSeconds: request.timeLimitSeconds,
  };
}

export const EMPTY_CHARACTER: CharacterWish = {
  feature: 'score',
  name: '',
  attribute: 'previousContents',
  value: '',
  target: null,
  scale: null,
};
