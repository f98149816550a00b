import { z } from 'zod';
import { ById, endpoint } from '../endpoint.ts';
import { CalendarDate, Id, Instant } from '../primitives.ts';
import { Account, Posting } from '../records.ts';
import { AccountTerms } from '../terms.ts';
import { Quantiles, soon } from './maturation.ts';

const LPA = z.number();

/** What an account holds by the book. */
export const Holding = z.strictObject({
  account: Account,
  casks: z.int(),
  casksLitresPureAlcohol: LPA,
  vatsLitresPureAlcohol: LPA,
});
export type Holding = z.infer<typeof Holding>;

/**
 * A cask of an owner's, since the owner had it: taken over + added − drawn − samples − lost = by the last gauge, litres of pure
 * alcohol.
 */
export const OwnedCask = z.strictObject({
  fillingId: Id,
  caskId: Id,
  caskCode: z.string(),
  caskKind: z.string(),
  storeId: Id.nullable(),
  filledAt: Instant,
  /** When it was filled for the owner or came to the account. */
  heldSince: Instant,
  atFillingLitresPureAlcohol: LPA,
  takenOverLitresPureAlcohol: LPA,
  /** Topped up and vatted into it, less what was drawn from it. */
  movedLitresPureAlcohol: LPA,
  samplesLitresPureAlcohol: LPA,
  lostLitresPureAlcohol: LPA,
  nowLitresPureAlcohol: LPA,
  bulkLitresAt20C: z.number(),
  strengthPercentVol: z.number(),
  lastGaugedAt: Instant,
});
export type OwnedCask = z.infer<typeof OwnedCask>;

/** Alcohol that left a cask, or the account: passed on, emptied into a vat, bottled, delivered, destroyed. */
export const LeftLine = z.strictObject({
  entryId: Id,
  at: Instant,
  cause: Posting.shape.cause,
  /** The entry, told in a sentence. */
  words: z.string(),
  litresPureAlcohol: LPA,
});
export type LeftLine = z.infer<typeof LeftLine>;

export const OwnerStatement = z.strictObject({
  account: Account,
  madeAt: Instant,
  /** Both days included. */
  period: z.strictObject({ from: CalendarDate, to: CalendarDate }),
  left: z.array(LeftLine),
  casks: z.array(OwnedCask),
  vats: z.array(z.strictObject({ code: z.string(), name: z.string(), litresPureAlcohol: LPA })),
});
export type OwnerStatement = z.infer<typeof OwnerStatement>;

/** What an owner's casks hold today by the forecast; the interval of the sum is not the sum of the intervals. */
export const OwnerForecast = z.strictObject({
  on: CalendarDate,
  total: Quantiles.nullable(),
  casks: z.array(z.strictObject({ fillingId: Id, litresPureAlcohol: Quantiles })),
  assumptions: z.array(z.string()),
});
export type OwnerForecast = z.infer<typeof OwnerForecast>;

/** What left is told of these days; without them, of the year up to today. */
const Period = { from: CalendarDate.optional(), to: CalendarDate.optional() };

const file = (extension: string, mediaType: string) =>
  endpoint({
    method: 'GET',
    path: `/api/owners/:id/statement.${extension}`,
    summary: `An owner’s statement as ${extension.toUpperCase()}`,
    access: 'read',
    params: ById,
    query: z.strictObject({
      ...Period,
      unit: AccountTerms.shape.unit.default('litres-pure-alcohol'),
    }),
    response: z.unknown(),
    file: mediaType,
  });

export const ownersApi = {
  list: endpoint({
    method: 'GET',
    path: '/api/owners',
    summary: 'Accounts with what each holds',
    access: 'read',
    response: z.strictObject({ rows: z.array(Holding) }),
  }),
  statement: endpoint({
    method: 'GET',
    path: '/api/owners/:id/statement',
    summary:
      'An owner’s casks: at filling, samples, loss, now by the book; and what left in a period',
    access: 'read',
    params: ById,
    query: z.strictObject(Period),
    response: OwnerStatement,
  }),
  forecastSoon: endpoint({
    method: 'GET',
    path: '/api/owners/:id/forecast/soon',
    summary: 'What an owner’s casks hold today by the forecast; how far it is until it is there',
    access: 'read',
    params: ById,
    response: soon(OwnerForecast),
  }),
  statementCsv: file('csv', 'text/csv'),
  statementPdf: file('pdf', 'application/pdf'),
};
