import { z } from 'zod';
import { BlendCosts } from '../blend-costs.ts';
import { CalendarDate, Id } from '../primitives.ts';
import { DUTY_STATUSES } from '../records.ts';

/** Attributes a share, a count or a rule about single casks can speak of. */
export const BLEND_ATTRIBUTES = [
  'woodSpecies',
  'caskKind',
  'previousContents',
  'fillNumber',
  'spiritLot',
  'plot',
  'variety',
  'harvestYear',
  'account',
  'zone',
  'store',
] as const;
export const BlendAttribute = z.enum(BLEND_ATTRIBUTES);
export type BlendAttribute = z.infer<typeof BlendAttribute>;

export const BLEND_AIMS = [
  'least-harm',
  'at-risk-first',
  'least-cost',
  'fewest-casks',
  'fewest-rows',
  'least-heels',
  'closest-to-target',
  'closest-to-character',
] as const;
export const BlendAim = z.strictObject({
  kind: z.enum(BLEND_AIMS),
  /** Aims of the lowest number come first; the next decide only among plans that are best by those before. */
  priority: z.int().min(1).max(9).default(1),
  /** Among aims of one priority: so much does one unit of this aim count. */
  weight: z.number().positive().max(1e9).default(1),
});
export type BlendAim = z.infer<typeof BlendAim>;

const Basis = z.enum(['alcohol', 'bulk']).default('alcohol');
const Percent = z.number().min(0).max(100);
const Count = z.int().min(0).max(100_000);

export const ShareOfBlend = z.strictObject({
  attribute: BlendAttribute,
  /** An id, a code, a name, or the word itself. */
  value: z.string().min(1),
  of: Basis,
  atLeastPercent: Percent.optional(),
  atMostPercent: Percent.optional(),
});
/** What a score is called, as it stands on the cask: a panel's note, a laboratory's figure. */
const ScoreName = z.string().trim().min(1).max(80);

/** One feature of a character aimed at; a deviation of `scale` counts one. */
export const CharacterFeature = z.discriminatedUnion('feature', [
  z.strictObject({
    feature: z.literal('score'),
    name: ScoreName,
    target: z.number(),
    scale: z.number().positive(),
  }),
  z.strictObject({
    feature: z.literal('share'),
    attribute: BlendAttribute,
    value: z.string().min(1),
    targetPercent: Percent,
    scalePercent: z.number().positive().max(100),
  }),
]);
export type CharacterFeature = z.infer<typeof CharacterFeature>;

/** What the blender asks for. Everything absent is not asked for. */
export const BlendRequest = z.strictObject({
  blendOn: CalendarDate,
  target: z.strictObject({
    bulkLitresAt20C: z.number().positive().max(10_000_000),
    volumeTolerancePercent: z.number().min(0.001).max(50).default(0.5),
    strengthPercentVol: z.number().min(1).max(96),
    strengthTolerancePercentVol: z.number().min(0.001).max(20).default(0.05),
  }),
  water: z.enum(['allowed', 'none']).default('allowed'),
  leastWaterLitres: z.number().min(0).optional(),
  mostWaterLitres: z.number().min(0).optional(),
  parts: z.enum(['whole-casks', 'part-casks', 'both']).default('whole-casks'),
  leastPartLitres: z.number().positive().optional(),
  leastHeelLitres: z.number().min(0).optional(),
  mostPartCasks: Count.optional(),
  youngestYears: z.number().min(0).max(100).optional(),
  oldestYears: z.number().min(0).max(100).optional(),
  leastMeanYears: z.number().min(0).max(100).optional(),
  leastStrengthPercentVol: Percent.optional(),
  mostStrengthPercentVol: Percent.optional(),
  /** Which stock is spoken of at all. */
  storeIds: z.array(Id).optional(),
  accountIds: z.array(Id).optional(),
  /** Only casks wholly of these values, or none that has any of them. */
  rules: z
    .array(
      z.strictObject({
        rule: z.enum(['only', 'none']),
        attribute: BlendAttribute,
        values: z.array(z.string().min(1)).min(1).max(200),
      }),
    )
    .optional(),
  /** Casks that must be in, must be out. */
  include: z.array(Id).optional(),
  exclude: z.array(Id).optional(),
  /** Kept as they are while the rest is planned again; the whole cask where no litres are given. */
  locks: z
    .array(z.strictObject({ caskId: Id, litresAt20C: z.number().positive().optional() }))
    .optional(),
  /** Reasons of holds that don't keep a cask out of the plan; reserving still asks for the hold to be lifted. */
  admitHolds: z.array(z.string()).optional(),
  /**
   * A vat takes one duty status only, so a blend is planned from one; of either, what is under suspension must be released
   * before the plan is reserved.
   */
  dutyStatus: z.enum([...DUTY_STATUSES, 'either']).default('suspended'),
  /** Casks reserved for this plan count as free: it is being planned again. */
  insteadOfPlanId: Id.optional(),
  shares: z.array(ShareOfBlend).optional(),
  /** No single value of the attribute gives more than this. */
  eachShare: z
    .array(z.strictObject({ attribute: BlendAttribute, of: Basis, atMostPercent: Percent }))
    .optional(),
  distinct: z
    .array(
      z.strictObject({
        attribute: BlendAttribute,
        atLeast: z.int().min(1).optional(),
        atMost: z.int().min(1).optional(),
        /** For `atLeast`: a value counts from this share of the alcohol on. */
        leastSharePercent: Percent.optional(),
      }),
    )
    .optional(),
  /** Means over the blend, weighed by alcohol. A cask without the score stays out. */
  scores: z
    .array(
      z.strictObject({ name: ScoreName, low: z.number().optional(), high: z.number().optional() }),
    )
    .optional(),
  leastCasks: Count.optional(),
  mostCasks: z.int().min(1).optional(),
  mostRows: z.int().min(1).optional(),
  mostCost: z.number().min(0).optional(),
  aims: z
    .array(BlendAim)
    .min(1)
    .max(8)
    .default([{ kind: 'least-harm', priority: 1, weight: 1 }]),
  /** With the aim `closest-to-target`: what a litre and a tenth of a per cent by volume off it count. */
  offTarget: z
    .strictObject({
      perLitre: z.number().min(0).max(1e6),
      perTenthPercentVol: z.number().min(0).max(1e9),
    })
    .optional(),
  /** With the aim `closest-to-character`. */
  character: z.array(CharacterFeature).max(20).optional(),
  /** Further plans, each the best that does without some casks of those before. */
  alternatives: z.int().min(0).max(6).default(0),
  timeLimitSeconds: z.number().min(1).max(120).default(20),
});
export type BlendRequest = z.infer<typeof BlendRequest>;

/** What can be chosen where a request names a value. */
export const BlendVocabulary = z.strictObject({
  values: z.partialRecord(
    BlendAttribute,
    z.array(z.strictObject({ value: z.string(), label: z.string() })),
  ),
  /** Reasons of the holds that stand. */
  holds: z.array(z.string()),
  scores: z.array(
    z.strictObject({ name: z.string(), unit: z.string().nullable(), casks: z.int() }),
  ),
  costs: BlendCosts.extend({
    /** True while the estate has set none of its own. */
    assumed: z.boolean(),
  }),
});
export type BlendVocabulary = z.infer<typeof BlendVocabulary>;
