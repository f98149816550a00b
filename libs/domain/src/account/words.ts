import { proofGallonsFromLitresPureAlcohol } from '@rundlet/alcoholometry';
import type { AccountUnit, AllowanceRule, DutyTerms, Posting } from '@rundlet/contracts';

/** What a figure of the account is called. */
export const CAUSE_WORDS: Record<Posting['cause'], string> = {
  received: 'Received',
  filled: 'Filled',
  disgorged: 'Disgorged',
  're-racked': 'Re-racked',
  'topped-up': 'Topped up',
  transferred: 'Transferred',
  'gauge-difference': 'Gauge difference',
  'filling-difference': 'Filling difference',
  'vat-difference': 'Vat difference',
  sample: 'Samples',
  delivered: 'Delivered',
  released: 'Released from suspension',
  bottled: 'Bottled',
  'bottling-loss': 'Lost in bottling',
  destroyed: 'Destroyed',
  ownership: 'Change of owner',
};

export const BASE_WORDS: Record<AllowanceRule['of'], string> = {
  'gauged-casks-a-year': 'a year of what the gauged casks held, since the gauge before',
  'opening-stock-a-year': 'of the opening stock a year, a twelfth each month',
  received: 'of what was received',
  filled: 'of what was filled into casks',
  disgorged: 'of what was disgorged',
  bottled: 'of what was bottled',
};

export const ROUNDING_WORDS: Record<DutyTerms['strengthRounding'], string> = {
  'down-to-tenth': 'down to a tenth of % vol',
  'nearest-tenth': 'to the nearest tenth of % vol',
  none: 'not rounded',
};

/** A unit the account is told in. The books are kept in milligrams, so each is a conversion at the edge. */
export const ACCOUNT_UNITS: Record<
  AccountUnit,
  {
    readonly symbol: string;
    readonly words: string;
    readonly of: (litresPureAlcohol: number) => number;
  }
> = {
  'litres-pure-alcohol': {
    symbol: 'LPA',
    words: 'litres of pure alcohol at 20 °C',
    of: (litresPureAlcohol) => litresPureAlcohol,
  },
  'proof-gallons': {
    symbol: 'proof gal',
    words: 'US proof gallons at 60 °F',
    of: proofGallonsFromLitresPureAlcohol,
  },
};

/** Stands wherever a figure rests on terms an authority sets. */
export const CHECK_WITH_AUTHORITY =
  'Allowances, rates, rounding and the form of the return are set by your authority: check with your authority before you rely on them.';
