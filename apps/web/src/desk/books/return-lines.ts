import { POSTING_CAUSES, type ReturnLine } from '@rundlet/contracts';

type Cause = (typeof POSTING_CAUSES)[number];

export const CAUSE_WORDS: Record<Cause, string> = {
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
  bottled: 'Bottled',
  'bottling-loss': 'Lost in bottling',
  destroyed: 'Destroyed',
  ownership: 'Change of owner',
};

/** Causes that occur, in the ledger's own order. */
export function causesIn(rows: readonly ReturnLine[]): Cause[] {
  const seen = new Set(rows.flatMap((r) => r.movements.map((m) => m.cause)));
  return POSTING_CAUSES.filter((cause) => seen.has(cause));
}

/** The month this many months before another. */
export function monthsBack(month: string, n: number): string {
  const count = Number(month.slice(0, 4)) * 12 + Number(month.slice(5)) - 1 - n;
  return `${String(Math.floor(count / 12))}-${String((count % 12) + 1).padStart(2, '0')}`;
}
