import { z } from 'zod';
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

export const lineageApi = {
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
