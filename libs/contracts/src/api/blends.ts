import { z } from 'zod';
import { ById, endpoint, PageQuery, pageOf } from '../endpoint.ts';
import { CalendarDate, Id } from '../primitives.ts';
import { Blend, BlendPlanRecord } from '../records.ts';
import { Origins } from './casks.ts';

/** Attributes a share or a count can be asked of. */
export const BlendAttribute = z.enum([
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
]);
export type BlendAttribute = z.infer<typeof BlendAttribute>;

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
  parts: z.enum(['whole-casks', 'part-casks', 'both']).default('whole-casks'),
  leastPartLitres: z.number().positive().optional(),
  leastHeelLitres: z.number().min(0).optional(),
  youngestYears: z.number().min(0).max(100).optional(),
  leastStrengthPercentVol: z.number().min(0).max(100).optional(),
  storeIds: z.array(Id).optional(),
  accountIds: z.array(Id).optional(),
  caskKinds: z.array(z.string()).optional(),
  woodSpecies: z.array(z.string()).optional(),
  fillNumbers: z.array(z.int().min(1)).optional(),
  /** Casks that must be in, must be out. */
  include: z.array(Id).optional(),
  exclude: z.array(Id).optional(),
  shares: z
    .array(
      z.strictObject({
        attribute: BlendAttribute,
        value: z.string(),
        of: z.enum(['alcohol', 'bulk']).default('alcohol'),
        atLeastPercent: z.number().min(0).max(100).optional(),
        atMostPercent: z.number().min(0).max(100).optional(),
      }),
    )
    .optional(),
  distinct: z
    .array(
      z.strictObject({
        attribute: BlendAttribute,
        atLeast: z.int().min(1).optional(),
        atMost: z.int().min(1).optional(),
      }),
    )
    .optional(),
  mostCasks: z.int().min(1).optional(),
  mostRows: z.int().min(1).optional(),
  aim: z
    .enum([
      'least-cost',
      'least-harm',
      'at-risk-first',
      'fewest-casks',
      'fewest-rows',
      'closest-to-target',
    ])
    .default('least-harm'),
  timeLimitSeconds: z.number().min(1).max(120).default(20),
});
export type BlendRequest = z.infer<typeof BlendRequest>;

export const BlendAnswerPart = z.strictObject({
  fillingId: Id,
  caskId: Id,
  caskCode: z.string(),
  positionCode: z.string().nullable(),
  walkOrder: z.int().nullable(),
  ageYears: z.number(),
  takeLitresAt20C: z.number(),
  strengthPercentVol: z.number(),
  litresPureAlcohol: z.number(),
  shareOfAlcohol: z.number(),
  whole: z.boolean(),
  line: z.string(),
});
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
  objective: z
    .strictObject({ aim: z.string(), value: z.number(), bound: z.number(), unit: z.string() })
    .nullable(),
  candidates: z.int(),
  excluded: z.array(z.strictObject({ reason: z.string(), casks: z.int() })),
  parts: z.array(BlendAnswerPart),
  waterLitresAt20C: z.number(),
  result: z
    .strictObject({
      bulkLitresAt20C: z.number(),
      strengthPercentVol: z.number(),
      litresPureAlcohol: z.number(),
      contractionLitres: z.number(),
    })
    .nullable(),
  interval: z
    .strictObject({
      bulkLow90: z.number(),
      bulkHigh90: z.number(),
      strengthLow90: z.number(),
      strengthHigh90: z.number(),
      chanceWithinTolerance: z.number(),
    })
    .nullable(),
  shares: z.array(z.strictObject({ attribute: z.string(), value: z.string(), share: z.number() })),
  /** When nothing fits: the wishes that conflict and the least change of each that would open a plan. */
  conflict: z.array(
    z.strictObject({
      wish: z.string(),
      relaxation: z.string().nullable(),
      enoughAlone: z.boolean().nullable(),
    }),
  ),
  sensitivity: z.array(z.strictObject({ what: z.string(), costs: z.number(), unit: z.string() })),
  seconds: z.number(),
  message: z.string(),
});
export type BlendAnswer = z.infer<typeof BlendAnswer>;

export const PickStop = z.strictObject({
  fillingId: Id,
  caskId: Id,
  caskCode: z.string(),
  positionCode: z.string().nullable(),
  row: z.string().nullable(),
  walkOrder: z.int().nullable(),
  takeLitresAt20C: z.number(),
  whole: z.boolean(),
  drawn: z.boolean(),
  line: z.string(),
});
export const PlanView = z.strictObject({ plan: BlendPlanRecord, picks: z.array(PickStop) });
export type PlanView = z.infer<typeof PlanView>;

/** The water trim worked out again at the vat, from what was really gauged. */
export const VatTrim = z.strictObject({
  /** What the water is worked out from. */
  vatLitresAt20C: z.number(),
  vatStrengthPercentVol: z.number(),
  waterLitresAt20C: z.number(),
  waterKg: z.number(),
  resultLitresAt20C: z.number(),
  resultStrengthPercentVol: z.number(),
  reachable: z.boolean(),
  /** The same water in steps, with rest between them as the blender sees fit. */
  steps: z.array(
    z.strictObject({
      step: z.int(),
      waterKg: z.number(),
      waterLitresAt20C: z.number(),
      bulkLitresAt20C: z.number(),
      strengthPercentVol: z.number(),
    }),
  ),
  message: z.string(),
});
export type VatTrim = z.infer<typeof VatTrim>;

export const blendsApi = {
  solve: endpoint({
    method: 'POST',
    path: '/api/blend-requests',
    summary: 'Choose casks for a blend (a job; its result is a BlendAnswer)',
    access: 'blend',
    body: BlendRequest,
    response: z.strictObject({ jobId: Id }),
  }),
  plans: endpoint({
    method: 'GET',
    path: '/api/plans',
    summary: 'Saved plans, newest first',
    access: 'read',
    query: z.strictObject(PageQuery),
    response: pageOf(BlendPlanRecord),
  }),
  plan: endpoint({
    method: 'GET',
    path: '/api/plans/:id',
    summary: 'A plan with its pick list in walking order',
    access: 'read',
    params: ById,
    response: PlanView,
  }),
  trim: endpoint({
    method: 'GET',
    path: '/api/plans/:id/trim',
    summary: 'Water to add now at the vat',
    access: 'read',
    params: ById,
    response: VatTrim,
  }),
  blends: endpoint({
    method: 'GET',
    path: '/api/blends',
    summary: 'Blends made, newest first',
    access: 'read',
    query: z.strictObject(PageQuery),
    response: pageOf(Blend),
  }),
  blend: endpoint({
    method: 'GET',
    path: '/api/blends/:id',
    summary: 'A blend with its origins',
    access: 'read',
    params: ById,
    response: z.strictObject({ blend: Blend, origins: Origins }),
  }),
};
