import type { LiquidFigures } from '@rundlet/contracts';
import { estimateDuty } from '@rundlet/domain';
import { api, useApi } from '../../data/client.ts';
import { Figure } from '../../kit/kit.ts';

/** By the terms in force today, where a rate was entered. */
export function DutyEstimate({ of }: { of: Omit<LiquidFigures, 'litresPureAlcohol'> }) {
  const today = new Date().toISOString().slice(0, 10);
  const terms = useApi(api.books.terms).data?.rows.find((row) => row.effectiveFrom <= today);
  if (!terms?.terms.duty || of.bulkLitresAt20C < 0) return null;
  const { amount, currency } = estimateDuty(of, terms.terms.duty);
  return <DutyFigure label="Duty it would owe" amount={amount} currency={currency} />;
}

/** Duty is never more than an estimate here. */
export function DutyFigure({
  label,
  amount,
  currency,
}: {
  label: string;
  amount: number;
  currency: string;
}) {
  return (
    <Figure
      label={label}
      value={amount}
      unit={currency}
      decimals={2}
      origin="calculated"
      note="an estimate; check with your authority"
    />
  );
}
