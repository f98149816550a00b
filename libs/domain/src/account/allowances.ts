import type { AllowanceRule } from '@rundlet/contracts';
import { daysBetween } from '../acts/checks.ts';

/** What an allowance is held against: a month of one account in one store. */
export interface MonthFigures {
  readonly openingMg: number;
  /** Over the casks gauged in the month: what each held by the book times the years since its gauge before, or its fill. */
  readonly gaugedMgYears: number;
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
  /** What the allowance is a share of: ethanol, or ethanol times years. */
  readonly baseMg: number;
  readonly allowedMg: number;
  readonly aboveMg: number;
}

const MONTHS_A_YEAR = 12;
const DAYS_A_YEAR = 365.25;

/** A month's losses against what is allowed for each cause. Causes without a rule are left out: nothing is assumed. */
export function againstAllowances(
  { openingMg, gaugedMgYears, movements }: MonthFigures,
  rules: readonly AllowanceRule[],
): AgainstAllowance[] {
  return rules.map((rule) => {
    const movement = (cause: string) => movements.find((m) => m.cause === cause);
    const lossMg = Math.max(0, -(movement(rule.cause)?.ethanolMg ?? 0));
    const baseMg =
      rule.of === 'gauged-casks-a-year'
        ? gaugedMgYears
        : rule.of === 'opening-stock-a-year'
          ? openingMg / MONTHS_A_YEAR
          : (movement(rule.of)?.handledMg ?? 0);
    const allowedMg = Math.max(0, (baseMg * rule.percent) / 100);
    return { rule, lossMg, baseMg, allowedMg, aboveMg: Math.max(0, lossMg - allowedMg) };
  });
}

/**
 * A filling's lines of the ledger, oldest first, each with what it held by the book before times the years since its gauge before
 * (or its fill) where the line is a gauge's difference; 0 elsewhere. A difference taken back gives the time back too.
 */
export function gaugedMgYears(
  filledAt: string,
  lines: readonly { readonly at: string; readonly cause: string; readonly ethanolMg: number }[],
): number[] {
  let heldMg = 0;
  let last = { at: filledAt, ethanolMg: 0, before: filledAt };
  return lines.map(({ at, cause, ethanolMg }) => {
    const before = heldMg;
    heldMg += ethanolMg;
    if (cause !== 'gauge-difference') return 0;
    const takenBack = ethanolMg === -last.ethanolMg;
    const years = takenBack ? 0 : daysBetween(last.at, at) / DAYS_A_YEAR;
    last = takenBack
      ? { at: last.before, ethanolMg: 0, before: last.before }
      : { at, ethanolMg, before: last.at };
    return before * Math.max(0, years);
  });
}
