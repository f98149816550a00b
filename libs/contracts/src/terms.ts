/** What an authority sets for the alcohol account. Entered by the site, each version from a day on; nothing is assumed. */
import { z } from 'zod';
import { BlendCosts, COSTS_SETTING } from './blend-costs.ts';
import { CalendarDate, Remark } from './primitives.ts';

/** Causes under which alcohol is lost or found. */
export const LOSS_CAUSES = [
  'gauge-difference',
  'filling-difference',
  'vat-difference',
  'sample',
  'bottling-loss',
  'destroyed',
] as const;

/**
 * What an allowance is a share of: what each cask gauged in the month held by the book, for the years since its gauge before; the
 * month's opening stock, a twelfth of so much a year; or what was handled in the month.
 */
export const ALLOWANCE_BASES = [
  'gauged-casks-a-year',
  'opening-stock-a-year',
  'received',
  'filled',
  'disgorged',
  'bottled',
] as const;

export const AllowanceRule = z.strictObject({
  cause: z.enum(LOSS_CAUSES),
  percent: z.number().min(0, 'must be at least 0 %').max(100, 'must be at most 100 %'),
  of: z.enum(ALLOWANCE_BASES),
});
export type AllowanceRule = z.infer<typeof AllowanceRule>;

export const DutyTerms = z.strictObject({
  currency: z.string().regex(/^[A-Z]{3}$/, 'three capital letters are needed, like EUR (ISO 4217)'),
  rate: z.number().min(0, 'must be at least 0').max(1e6, 'must be at most 1 000 000'),
  per: z.enum(['litre-pure-alcohol', 'proof-gallon']),
  /** How the strength of a delivery is rounded before its alcohol is reckoned: a policy of the alcoholometry library. */
  strengthRounding: z.enum(['down-to-tenth', 'nearest-tenth', 'none']),
});
export type DutyTerms = z.infer<typeof DutyTerms>;

export const AccountTerms = z
  .strictObject({
    /** Unit the account is shown in first. */
    unit: z.enum(['litres-pure-alcohol', 'proof-gallons']),
    allowances: z.array(AllowanceRule).max(LOSS_CAUSES.length),
    duty: DutyTerms.nullable(),
    /** Where the terms are written down: a notice, a permit, a letter. */
    reference: Remark,
  })
  .refine(
    ({ allowances }) => new Set(allowances.map((rule) => rule.cause)).size === allowances.length,
    { path: ['allowances'], message: 'has two rules for one cause' },
  );
export type AccountTerms = z.infer<typeof AccountTerms>;
export type AccountUnit = AccountTerms['unit'];

/** Terms with the day they stand from. Allowances are those in force on the first of a month, duty that on the day. */
export const TermsFrom = z.strictObject({ effectiveFrom: CalendarDate, terms: AccountTerms });
export type TermsFrom = z.infer<typeof TermsFrom>;

export const TERMS_SETTING = 'account.terms';

/** Settings whose value has a shape of its own; others are taken as they come. */
export const SETTING_VALUES: Readonly<Record<string, z.ZodType>> = {
  [TERMS_SETTING]: AccountTerms,
  [COSTS_SETTING]: BlendCosts,
};
