import { z } from 'zod';
import { endpoint } from '../endpoint.ts';
import { CalendarDate, Id, Instant, Month } from '../primitives.ts';
import { Account, POSTING_CAUSES } from '../records.ts';
import { AccountTerms, AllowanceRule, TermsFrom } from '../terms.ts';

const Cause = z.enum(POSTING_CAUSES);
const LPA = z.number();

/** One month of one account in one store. Opening + all causes = closing, litres of pure alcohol. */
export const ReturnLine = z.strictObject({
  month: Month,
  accountId: Id,
  storeId: Id.nullable(),
  openingLitresPureAlcohol: LPA,
  movements: z.array(
    z.strictObject({
      cause: Cause,
      litresPureAlcohol: LPA,
      /** The part that happened in months which were closed when it came. */
      ofEarlierMonthsLitresPureAlcohol: LPA,
      entries: z.int(),
    }),
  ),
  /** Losses against what is allowed, by the terms in force on the first of the month. */
  losses: z.array(
    z.strictObject({
      rule: AllowanceRule,
      lossLitresPureAlcohol: LPA,
      baseLitresPureAlcohol: LPA,
      allowedLitresPureAlcohol: LPA,
      aboveLitresPureAlcohol: LPA,
    }),
  ),
  closingLitresPureAlcohol: LPA,
});
export type ReturnLine = z.infer<typeof ReturnLine>;

/** Who closed a month, when, and where the journal stood. */
export const ClosedMonth = z.strictObject({
  month: Month,
  closedAt: Instant,
  closedBy: z.string(),
  entryId: Id,
  journalSeq: z.int(),
  journalHash: z.string(),
});
export type ClosedMonth = z.infer<typeof ClosedMonth>;

export const ReturnAnswer = z.strictObject({
  rows: z.array(ReturnLine),
  closed: z.array(ClosedMonth),
  holdsNowLitresPureAlcohol: LPA,
});
export type ReturnAnswer = z.infer<typeof ReturnAnswer>;

/** A line of the ledger with its entry in words. It counts in `month`; `at` is when it happened. */
export const PostingView = z.strictObject({
  entryId: Id,
  at: Instant,
  month: Month,
  accountId: Id,
  cause: Cause,
  vesselKind: z.string(),
  vesselCode: z.string(),
  litresPureAlcohol: LPA,
  words: z.string(),
});
export type PostingView = z.infer<typeof PostingView>;

/** Spirit delivered or released in its cask, and what it would owe by the terms in force on the day; taken back with a minus. */
export const Delivery = z.strictObject({
  entryId: Id,
  at: Instant,
  month: Month,
  accountId: Id,
  /** To whom; of a cask released, that it stays in it, and by what paper. */
  to: z.string(),
  bulkLitresAt20C: z.number(),
  strengthPercentVol: z.number(),
  litresPureAlcohol: LPA,
  /** Null where no duty was set for the day. */
  estimate: z
    .strictObject({
      strengthPercentVol: z.number(),
      litresPureAlcohol: LPA,
      amount: z.number(),
      currency: z.string(),
      termsFrom: CalendarDate,
    })
    .nullable(),
});
export type Delivery = z.infer<typeof Delivery>;

const scope = {
  accountId: Id.optional(),
  storeId: Id.optional(),
  accountKind: Account.shape.kind.optional(),
};
const ReturnQuery = z.strictObject({ from: Month, to: Month, ...scope });
const FileQuery = ReturnQuery.extend({
  unit: AccountTerms.shape.unit.default('litres-pure-alcohol'),
});
const file = (extension: string, mediaType: string) =>
  endpoint({
    method: 'GET',
    path: `/api/returns/return.${extension}`,
    summary: `The return as ${extension.toUpperCase()}`,
    access: 'read',
    query: FileQuery,
    response: z.unknown(),
    file: mediaType,
  });

export const XLSX_TYPE = 'application/vnd.openxmlformats-officedocument.spreadsheetml.sheet';

export const booksApi = {
  months: endpoint({
    method: 'GET',
    path: '/api/returns',
    summary: 'The return: opening, movements by cause and closing, by month',
    access: 'read',
    query: ReturnQuery,
    response: ReturnAnswer,
  }),
  returnCsv: file('csv', 'text/csv'),
  returnXlsx: file('xlsx', XLSX_TYPE),
  returnPdf: file('pdf', 'application/pdf'),
  state: endpoint({
    method: 'GET',
    path: '/api/returns/state',
    summary: 'How far the account is closed, and which month is to be closed next',
    access: 'read',
    response: z.strictObject({
      closedThrough: Month.nullable(),
      /** The entry that closed it, which alone can be taken back. */
      lastCloseEntryId: Id.nullable(),
      /** Over and open, oldest first. */
      toClose: z.array(Month),
      /** Acts that are held for a keeper: settled after the close, they count in the next month. */
      heldActs: z.int(),
    }),
  }),
  postings: endpoint({
    method: 'GET',
    path: '/api/postings',
    summary: 'The entries behind one figure of the return',
    access: 'read',
    query: z.strictObject({
      month: Month,
      cause: Cause.optional(),
      /** Only those of months that were closed when they came. */
      ofEarlierMonths: z.stringbool().optional(),
      ...scope,
    }),
    response: z.strictObject({ rows: z.array(PostingView) }),
  }),
  deliveries: endpoint({
    method: 'GET',
    path: '/api/deliveries',
    summary: 'Deliveries of some months with an estimate of the duty they would owe',
    access: 'read',
    query: ReturnQuery,
    response: z.strictObject({ rows: z.array(Delivery) }),
  }),
  terms: endpoint({
    method: 'GET',
    path: '/api/account-terms',
    summary:
      'Allowances, duty and unit of the account, each version with the day it stands from, newest first',
    access: 'read',
    response: z.strictObject({ rows: z.array(TermsFrom) }),
  }),
};
