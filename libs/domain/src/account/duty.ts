import {
  DUTY_STRENGTH_ROUNDING,
  dutyLitresPureAlcohol,
  proofGallonsFromLitresPureAlcohol,
  roundBy,
  roundHalfUp,
} from '@rundlet/alcoholometry';
import type { DutyTerms, LiquidFigures } from '@rundlet/contracts';

const POLICIES = Object.values(DUTY_STRENGTH_ROUNDING);

export interface DutyEstimate {
  readonly strengthPercentVol: number;
  readonly litresPureAlcohol: number;
  readonly amount: number;
  readonly currency: string;
}

/** What a delivery would owe by the terms in force: an estimate, for the authority's own reckoning decides. */
export function estimateDuty(
  { bulkLitresAt20C, strengthPercentVol }: Omit<LiquidFigures, 'litresPureAlcohol'>,
  { rate, per, currency, strengthRounding }: DutyTerms,
): DutyEstimate {
  // The book works a strength back from milligrams, which leaves it some 1e-6 % vol beside what was declared: 63.499 999 6 is 63.5.
  const strength = roundHalfUp(strengthPercentVol, 4);
  const policy = POLICIES.find(({ id }) => id === strengthRounding) ?? DUTY_STRENGTH_ROUNDING.none;
  const litresPureAlcohol = dutyLitresPureAlcohol(bulkLitresAt20C, strength, policy);
  const units =
    per === 'proof-gallon'
      ? proofGallonsFromLitresPureAlcohol(litresPureAlcohol)
      : litresPureAlcohol;
  return {
    strengthPercentVol: roundBy(policy, strength),
    litresPureAlcohol,
    amount: units * rate,
    currency,
  };
}
