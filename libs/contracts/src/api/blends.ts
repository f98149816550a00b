import { z } from 'zod';
import { ById, endpoint, PageQuery, pageOf } from '../endpoint.ts';
import { Id, Instant } from '../primitives.ts';
import { LiquidFigures } from '../readings.ts';
import { Blend, BlendPlanRecord } from '../records.ts';
import { BlendRequest, BlendVocabulary } from './blend-request.ts';
import { Origins } from './casks.ts';
import { HistoryLine } from './journal.ts';

export * from './blend-answer.ts';
export * from './blend-request.ts';

export const PickStop = z.strictObject({
  fillingId: Id,
  caskId: Id,
  caskCode: z.string(),
  positionId: Id.nullable(),
  positionCode: z.string().nullable(),
  /** Where it stands, in the words on the rack; null without a position. */
  place: z
    .strictObject({
      store: z.string(),
      zone: z.string(),
      row: z.string(),
      bay: z.string(),
      level: z.string(),
      slot: z.string(),
    })
    .nullable(),
  walkOrder: z.int().nullable(),
  takeLitresAt20C: z.number(),
  strengthPercentVol: z.number(),
  whole: z.boolean(),
  /** When the cask was scanned out for the plan. */
  outAt: Instant.nullable(),
  drawn: z.boolean(),
  /** Why it can't be drawn now: a hold, another plan's reservation, emptied since. */
  obstacle: z.string().nullable(),
  line: z.string(),
});
export type PickStop = z.infer<typeof PickStop>;

/** A row that has casks of the plan in it, with every position of it, to be drawn as seen from the front. */
export const PickRow = z.strictObject({
  zoneId: Id,
  store: z.string(),
  zone: z.string(),
  row: z.string(),
  positions: z.array(
    z.strictObject({
      id: Id,
      bay: z.string(),
      level: z.string(),
      slot: z.string(),
      occupied: z.boolean(),
    }),
  ),
});
export type PickRow = z.infer<typeof PickRow>;

export const PlanView = z.strictObject({
  plan: BlendPlanRecord,
  picks: z.array(PickStop),
  rows: z.array(PickRow),
  /** The vat it is drawn into, by the book now. */
  vat: z
    .strictObject({
      code: z.string(),
      name: z.string(),
      figures: LiquidFigures,
      lastReducedAt: Instant.nullable(),
      lastGaugedAt: Instant.nullable(),
    })
    .nullable(),
  /** What has been done for it, newest first. */
  history: z.array(HistoryLine),
});
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
  /** Least and most water that keep volume and strength within their tolerances; null when none does. */
  leastWaterLitresAt20C: z.number().nullable(),
  mostWaterLitresAt20C: z.number().nullable(),
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
  vocabulary: endpoint({
    method: 'GET',
    path: '/api/blend-vocabulary',
    summary: 'Values that a blend request can name, as they stand in the stock',
    access: 'read',
    response: BlendVocabulary,
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
    query: z.strictObject({
      /** Most by which one step lowers the strength. */
      stepPercentVol: z.coerce.number().min(0.1).max(60).default(3),
    }),
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
