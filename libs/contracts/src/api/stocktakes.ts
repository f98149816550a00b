import { z } from 'zod';
import { ById, endpoint, PageQuery, pageOf } from '../endpoint.ts';
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
