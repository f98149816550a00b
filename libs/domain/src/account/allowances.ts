import type { AllowanceRule } from '@rundlet/contracts';

/** What an allowance is held against: a month of one account in one store. */
export interface MonthFigures {
  readonly openingMg: number;
  readonly movements: readonly {
    readonly cause: string;
    readonly ethanolMg: number;
    /** Ethanol handled under the cause, whichever way it went: what came into casks or out of a vat. */
    readonly handledMg: number;
  }[];
}

export interface AgainstAllowance {
  readonly rule: AllowanceRule;
  /** Loss of the month, gains taken off; 0 where there was a gain. */
  readonly lossMg: number;
  /** What the allowance is a share of. */
  readonly baseMg: number;
  readonly allowedMg: number;
  readonly aboveMg: number;
}

const MONTHS_A_YEAR = 12;

/** A month's losses against what is allowed for each cause. Causes without a rule are left out: nothing is assumed. */
export function againstAllowances(
  { openingMg, movements }: MonthFigures,
  rules: readonly AllowanceRule[],
): AgainstAllowance[] {
  return rules.map((rule) => {
    const movement = (cause: string) => movements.find((m) => m.cause === cause);
    const lossMg = Math.max(0, -(movement(rule.cause)?.ethanolMg ?? 0));
    const [baseMg, parts] =
      rule.of === 'opening-stock-a-year'
        ? [openingMg, MONTHS_A_YEAR]
        : [movement(rule.of)?.handledMg ?? 0, 1];
    const allowedMg = Math.max(0, (baseMg * rule.percent) / 100 / parts);
    return { rule, lossMg, baseMg, allowedMg, aboveMg: Math.max(0, lossMg - allowedMg) };
  });
}
