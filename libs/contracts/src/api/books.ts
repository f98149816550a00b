import { z } from 'zod';
import { endpoint } from '../endpoint.ts';
import { Id, Month } from '../primitives.ts';
import { POSTING_CAUSES } from '../records.ts';

/** One month of one account in one store. Opening + all causes = closing, litres of pure alcohol. */
export const ReturnLine = z.strictObject({
  month: Month,
  accountId: Id,
  storeId: Id.nullable(),
  openingLitresPureAlcohol: z.number(),
  movements: z.array(
    z.strictObject({
      cause: z.enum(POSTING_CAUSES),
      litresPureAlcohol: z.number(),
      entries: z.int(),
    }),
  ),
  closingLitresPureAlcohol: z.number(),
});
export type ReturnLine = z.infer<typeof ReturnLine>;

export const booksApi = {
  months: endpoint({
    method: 'GET',
    path: '/api/returns',
    summary: 'The return: opening, movements by cause and closing, by month',
    access: 'read',
    query: z.strictObject({
      from: Month,
      to: Month,
      accountId: Id.optional(),
      storeId: Id.optional(),
    }),
    response: z.strictObject({ rows: z.array(ReturnLine), holdsNowLitresPureAlcohol: z.number() }),
  }),
  postings: endpoint({
    method: 'GET',
    path: '/api/postings',
    summary: 'The entries behind one figure of the return',
    access: 'read',
    query: z.strictObject({
      month: Month,
      cause: z.enum(POSTING_CAUSES),
      accountId: Id.optional(),
      storeId: Id.optional(),
    }),
    response: z.strictObject({
      rows: z.array(
        z.strictObject({
          entryId: Id,
          at: z.string(),
          vesselKind: z.string(),
          vesselCode: z.string(),
          litresPureAlcohol: z.number(),
          words: z.string(),
        }),
      ),
    }),
  }),
};
