import { z } from 'zod';
import { ById, endpoint, PageQuery, pageOf } from '../endpoint.ts';
import { Id, Instant } from '../primitives.ts';
import { Stocktake, STOCKTAKE_STATES, StocktakeLine } from '../records.ts';

export const StocktakeTally = z.strictObject({
  expected: z.int(),
  found: z.int(),
  misplaced: z.int(),
  missing: z.int(),
  unknown: z.int(),
  twice: z.int(),
  damagedLabels: z.int(),
  stillToFind: z.int(),
  /** Not seen, and by the book gone from the count's scope while it ran. */
  left: z.int(),
  /** Found where the book has them, though the count did not ask for them. */
  extra: z.int(),
});
export type StocktakeTally = z.infer<typeof StocktakeTally>;
export const StocktakeView = z.strictObject({ stocktake: Stocktake, tally: StocktakeTally });
export const StocktakeLineView = z.strictObject({
  line: StocktakeLine,
  expectedPositionCode: z.string().nullable(),
  foundPositionCode: z.string().nullable(),
  caskLine: z.string().nullable(),
});
export type StocktakeLineView = z.infer<typeof StocktakeLineView>;

/** Where a count stands, row by row, and by whom; of a sample, what it says about all the casks. */
export const StocktakeProgress = z.strictObject({
  rows: z.array(
    z.strictObject({
      zoneId: Id,
      zoneName: z.string(),
      row: z.string(),
      expected: z.int(),
      seen: z.int(),
      differences: z.int(),
    }),
  ),
  counters: z.array(z.strictObject({ name: z.string(), casks: z.int(), lastAt: Instant })),
  /** Differences nobody has settled yet. */
  unsettled: z.int(),
  /** Lines to be counted again, in walking order. */
  recount: z.array(
    z.strictObject({
      lineId: z.string(),
      caskId: Id.nullable(),
      code: z.string(),
      positionId: Id.nullable(),
    }),
  ),
  /** For the map: each position with anything expected or found, and the worst that is said of it. */
  places: z.array(
    z.strictObject({ positionId: Id, state: z.enum(['seen', 'to-find', 'difference']) }),
  ),
  sample: z
    .strictObject({
      population: z.int(),
      drawn: z.int(),
      seed: z.string(),
      settled: z.int(),
      wrong: z.int(),
      /** At this one-sided confidence at most so many of the population are not where the book has them. */
      confidence: z.number(),
      mostWrong: z.int().nullable(),
    })
    .nullable(),
});
export type StocktakeProgress = z.infer<typeof StocktakeProgress>;

/** How right the book was in one zone when a count of it was signed. */
export const ZoneAccuracy = z.strictObject({
  stocktakeId: Id,
  code: z.string(),
  title: z.string(),
  signedAt: Instant,
  zoneId: Id,
  zoneName: z.string(),
  storeName: z.string(),
  expected: z.int(),
  right: z.int(),
  misplaced: z.int(),
  missing: z.int(),
});
export type ZoneAccuracy = z.infer<typeof ZoneAccuracy>;

export const stocktakesApi = {
  list: endpoint({
    method: 'GET',
    path: '/api/stocktakes',
    summary: 'Stock-takes, newest first',
    access: 'read',
    query: z.strictObject(PageQuery),
    response: pageOf(StocktakeView),
  }),
  get: endpoint({
    method: 'GET',
    path: '/api/stocktakes/:id',
    summary: 'One stock-take with its tally',
    access: 'read',
    params: ById,
    response: StocktakeView,
  }),
  lines: endpoint({
    method: 'GET',
    path: '/api/stocktakes/:id/lines',
    summary: 'Its lines, in walking order',
    access: 'read',
    params: ById,
    query: z.strictObject({
      ...PageQuery,
      state: z.enum([...STOCKTAKE_STATES, 'twice', 'damaged']).optional(),
    }),
    response: pageOf(StocktakeLineView),
  }),
  progress: endpoint({
    method: 'GET',
    path: '/api/stocktakes/:id/progress',
    summary: 'Where a count stands, row by row and person by person',
    access: 'read',
    params: ById,
    response: StocktakeProgress,
  }),
  accuracy: endpoint({
    method: 'GET',
    path: '/api/stocktake-accuracy',
    summary: 'How right the book was in each zone at each signed count, newest first',
    access: 'read',
    response: z.strictObject({ rows: z.array(ZoneAccuracy) }),
  }),
  sheetPdf: endpoint({
    method: 'GET',
    path: '/api/stocktakes/:id/sheet.pdf',
    summary: 'The sheet as PDF, to sign and keep',
    access: 'read',
    params: ById,
    response: z.unknown(),
    file: 'application/pdf',
  }),
  sheet: endpoint({
    method: 'GET',
    path: '/api/stocktakes/:id/sheet.csv',
    summary: 'The sheet as CSV',
    access: 'read',
    params: ById,
    response: z.unknown(),
    file: 'text/csv',
  }),
};
