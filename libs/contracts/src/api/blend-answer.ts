import { z } from 'zod';
import { Id } from '../primitives.ts';
import { BLEND_AIMS, BlendRequest } from './blend-request.ts';

export const BlendAnswerPart = z.strictObject({
  fillingId: Id,
  caskId: Id,
  caskCode: z.string(),
  positionCode: z.string().nullable(),
  /** Store, zone, row, bay, level and slot as the site says them; null where the cask has no position. */
  place: z.string().nullable(),
  walkOrder: z.int().nullable(),
  ageYears: z.number(),
  takeLitresAt20C: z.number(),
  heelLitresAt20C: z.number(),
  strengthPercentVol: z.number(),
  litresPureAlcohol: z.number(),
  shareOfAlcohol: z.number(),
  whole: z.boolean(),
  locked: z.boolean(),
  line: z.string(),
});
export type BlendAnswerPart = z.infer<typeof BlendAnswerPart>;

/** How far the gauged vat may lie from the plan, and what water can do about it. */
export const BlendInterval = z.strictObject({
  bulkLow90: z.number(),
  bulkHigh90: z.number(),
  strengthLow90: z.number(),
  strengthHigh90: z.number(),
  /** Chance that volume and strength both fall within their tolerances with the planned water. */
  chanceAsPlanned: z.number(),
  /** The same when the water is trimmed after gauging. */
  chanceWithTrim: z.number(),
  /** Water that brings what the casks really hold to the strength aimed at, 90 times of 100. */
  waterLow90: z.number(),
  waterHigh90: z.number(),
});
export type BlendInterval = z.infer<typeof BlendInterval>;

/** One plan to choose: its casks, its vat, what it costs and what it leaves behind. */
export const BlendChoice = z.strictObject({
  parts: z.array(BlendAnswerPart),
  waterLitresAt20C: z.number(),
  result: z.strictObject({
    bulkLitresAt20C: z.number(),
    strengthPercentVol: z.number(),
    litresPureAlcohol: z.number(),
    contractionLitres: z.number(),
  }),
  interval: BlendInterval,
  ages: z.strictObject({
    youngestYears: z.number(),
    oldestYears: z.number(),
    meanYears: z.number(),
  }),
  cost: z.number(),
  /** Rows that are opened, as the site says them, in walking order. */
  rows: z.array(z.strictObject({ row: z.string(), casks: z.int() })),
  aims: z.array(
    z.strictObject({
      kind: z.enum(BLEND_AIMS),
      priority: z.int(),
      value: z.number(),
      unit: z.string(),
    }),
  ),
  shares: z.array(
    z.strictObject({
      attribute: z.string(),
      value: z.string(),
      share: z.number(),
      shareOfBulk: z.number(),
    }),
  ),
  /** What stays in the stock that was looked at. */
  left: z.strictObject({
    casks: z.int(),
    litresPureAlcohol: z.number(),
    meanYears: z.number().nullable(),
    heelCasks: z.int(),
    heelLitres: z.number(),
    /** Casks more likely than not to fall under the strength floor that stay. */
    atRiskCasks: z.int(),
  }),
  /** How much worse than the best plan by the first aims, as a share; 0 for the best itself. */
  lossToBest: z.number(),
  /** Casks of the best plan that this one does without. */
  casksChanged: z.int(),
});
export type BlendChoice = z.infer<typeof BlendChoice>;

export const BlendAnswer = z.strictObject({
  status: z.enum([
    'proven-best',
    'within-gap',
    'infeasible',
    'no-plan-found',
    'failed',
    'cancelled',
  ]),
  /** Proven distance from best, as a share of the objective; 0 when proven best; null without a plan. */
  gap: z.number().nullable(),
  /** Aims of each priority together: what the best plan reached and what no plan can beat. Smaller is better. */
  levels: z.array(
    z.strictObject({
      priority: z.int(),
      value: z.number(),
      bound: z.number(),
      gap: z.number(),
      unit: z.string(),
    }),
  ),
  candidates: z.int(),
  excluded: z.array(z.strictObject({ reason: z.string(), casks: z.int() })),
  /** The best plan first; empty when there is none. */
  plans: z.array(BlendChoice),
  /** When nothing fits: the wishes that conflict and the least change of each that would open a plan. */
  conflict: z.array(
    z.strictObject({
      wishId: z.string(),
      wish: z.string(),
      relaxation: z.string().nullable(),
      enoughAlone: z.boolean().nullable(),
      /** The request with that change made; null where there is none to make. */
      relaxed: BlendRequest.nullable(),
    }),
  ),
  /** What a little more, or a tolerance twice or half as wide, adds to the first aims, by planning it. */
  sensitivity: z.array(
    z.strictObject({
      what: z.string(),
      /** Null: no plan meets it. */
      costs: z.number().nullable(),
      unit: z.string(),
      /** How far the figure may be off, as neither plan is proven best; 0 when both are. */
      plusMinus: z.number(),
    }),
  ),
  seconds: z.number(),
  message: z.string(),
});
export type BlendAnswer = z.infer<typeof BlendAnswer>;
