import { z } from 'zod';
import { STEP_KINDS } from '../acts.ts';
import { endpoint, PageQuery, pageOf } from '../endpoint.ts';
import { Id, Instant } from '../primitives.ts';
import { Ferment, HarvestLot, Plot, SpiritLot, StillRun } from '../records.ts';

export const LineageKind = z.enum([
  'plot',
  'harvest-lot',
  'ferment',
  'still-run',
  'spirit-lot',
  'vat',
  'filling',
  'blend',
  'bottling-run',
]);
export type LineageKind = z.infer<typeof LineageKind>;

/**
 * Nodes and weighted arrows between a plot and the thing asked about. Traced back, `share` is of the ethanol in that thing;
 * traced forth, the part of each node's own ethanol that is of it.
 */
export const LineageGraph = z.strictObject({
  nodes: z.array(
    z.strictObject({
      key: z.string(),
      kind: LineageKind,
      id: Id,
      code: z.string(),
      name: z.string(),
      detail: z.string(),
      /** What it has in common with others of its step, to gather them by. */
      group: z.string(),
      /** How many it stands for: more than one where there are too many to name each. */
      members: z.int(),
      share: z.number(),
    }),
  ),
  arrows: z.array(z.strictObject({ from: z.string(), to: z.string(), share: z.number() })),
});
export type LineageGraph = z.infer<typeof LineageGraph>;

/** Where some of a plot's (lot's …) alcohol is now. */
export const RecallLine = z.strictObject({
  vesselKind: z.enum(['cask', 'vat']),
  vesselId: Id,
  code: z.string(),
  fillingId: Id.nullable(),
  share: z.number(),
  bulkLitresAt20C: z.number(),
  /** The part of the bulk that came with its share of the ethanol. */
  bulkLitresOfIt: z.number(),
  litresPureAlcoholOfIt: z.number(),
  positionCode: z.string().nullable(),
});
export type RecallLine = z.infer<typeof RecallLine>;

export const StepKindName = z.enum(STEP_KINDS);

/** A step before or after another, and how much went over. */
export const StepLink = z.strictObject({
  kind: StepKindName,
  id: Id,
  code: z.string(),
  name: z.string(),
  detail: z.string(),
  /** In kilograms, litres at 20 °C, or as a share of the later one's ethanol. */
  amount: z.number(),
  unit: z.enum(['kg', 'L', 'share']),
  litresPureAlcohol: z.number().nullable(),
});
export type StepLink = z.infer<typeof StepLink>;

/** A yield beside the most that is possible. */
export const StepYield = z.strictObject({
  what: z.enum(['mass-used', 'ethanol-of-sugar', 'litres-charged', 'ethanol-of-wash', 'received']),
  /** The step it is held against where there are several. */
  of: z.string().nullable(),
  value: z.number(),
  most: z.number(),
  /** How many times the most is taken for measurement; beyond it the step is refused. */
  tolerance: z.number(),
  unit: z.enum(['kg', 'L', 'LPA']),
});
export type StepYield = z.infer<typeof StepYield>;

export const lineageApi = {
  step: endpoint({
    method: 'GET',
    path: '/api/steps/:kind/:id',
    summary: 'One step of the chain: what is recorded, what it came from and became, its yields',
    access: 'read',
    params: z.strictObject({ kind: StepKindName, id: Id }),
    response: z.strictObject({
      step: z.discriminatedUnion('kind', [
        z.strictObject({ kind: z.literal('plot'), record: Plot }),
        z.strictObject({ kind: z.literal('harvest-lot'), record: HarvestLot }),
        z.strictObject({ kind: z.literal('ferment'), record: Ferment }),
        z.strictObject({ kind: z.literal('still-run'), record: StillRun }),
        z.strictObject({ kind: z.literal('spirit-lot'), record: SpiritLot }),
      ]),
      from: z.array(StepLink),
      became: z.array(StepLink),
      yields: z.array(StepYield),
    }),
  }),
  stepChoices: endpoint({
    method: 'GET',
    path: '/api/steps/:kind',
    summary:
      'Steps of one kind to choose from, the newest first; all whose code has these letters in it',
    access: 'read',
    params: z.strictObject({ kind: StepKindName }),
    query: z.strictObject({
      find: z.string().trim().max(40).default(''),
      limit: PageQuery.limit,
    }),
    response: z.strictObject({
      rows: z.array(
        z.strictObject({ id: Id, code: z.string(), name: z.string(), detail: z.string() }),
      ),
      /** Whether there are others beyond these. */
      more: z.boolean(),
    }),
  }),
  plots: endpoint({
    method: 'GET',
    path: '/api/plots',
    summary: 'Plots',
    access: 'read',
    response: z.strictObject({ rows: z.array(Plot) }),
  }),
  harvests: endpoint({
    method: 'GET',
    path: '/api/harvest-lots',
    summary: 'Harvest lots, newest first',
    access: 'read',
    query: z.strictObject({ ...PageQuery, plotId: Id.optional() }),
    response: pageOf(HarvestLot),
  }),
  ferments: endpoint({
    method: 'GET',
    path: '/api/ferments',
    summary: 'Ferments, newest first',
    access: 'read',
    query: z.strictObject(PageQuery),
    response: pageOf(Ferment),
  }),
  stillRuns: endpoint({
    method: 'GET',
    path: '/api/still-runs',
    summary: 'Distillation runs, newest first',
    access: 'read',
    query: z.strictObject(PageQuery),
    response: pageOf(StillRun),
  }),
  lots: endpoint({
    method: 'GET',
    path: '/api/spirit-lots',
    summary: 'Spirit lots, newest first',
    access: 'read',
    query: z.strictObject(PageQuery),
    response: pageOf(SpiritLot),
  }),
  trace: endpoint({
    method: 'GET',
    path: '/api/lineage/:kind/:id',
    summary:
      'Back from a bottling, blend, vat, cask’s filling or lot to its plots, or forth to all that has some of it',
    access: 'read',
    params: z.strictObject({ kind: LineageKind, id: Id }),
    query: z.strictObject({ direction: z.enum(['back', 'forth']).default('back') }),
    response: LineageGraph,
  }),
  recall: endpoint({
    method: 'GET',
    path: '/api/recall/:kind/:id',
    summary:
      'From a plot, harvest, ferment, run, lot or cask’s filling to every vessel and bottling that has some of it',
    access: 'read',
    params: z.strictObject({
      kind: z.enum(['plot', 'harvest-lot', 'ferment', 'still-run', 'spirit-lot', 'filling']),
      id: Id,
    }),
    response: z.strictObject({
      rows: z.array(RecallLine),
      bottlings: z.array(
        z.strictObject({
          runId: Id,
          code: z.string(),
          name: z.string(),
          bottles: z.int(),
          share: z.number(),
          litresPureAlcoholOfIt: z.number(),
        }),
      ),
      /** What went out of a vat unbottled; known for a cask’s filling only. */
      delivered: z.array(
        z.strictObject({
          at: Instant,
          to: z.string(),
          share: z.number(),
          litresPureAlcoholOfIt: z.number(),
        }),
      ),
      litresPureAlcohol: z.number(),
      casks: z.int(),
    }),
  }),
};
