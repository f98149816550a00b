import { OutOfRangeError, requireNotNegative } from './out-of-range.ts';

/** A rule by which a figure is rounded before duty is reckoned on it: data, chosen by the caller. */
export type RoundingPolicy = {
  readonly id: string;
  /** Multiple the figure is rounded to; `null` leaves it as it is. */
  readonly step: number | null;
  readonly direction: 'down' | 'nearest';
  readonly source: string;
};

/** Strength of spirits for duty. Pick one by name; no formula of this library rounds by itself. */
export const DUTY_STRENGTH_ROUNDING = {
  /** 7.59 % becomes 7.5 %. */
  downToTenth: {
    id: 'down-to-tenth',
    step: 0.1,
    direction: 'down',
    source: 'HMRC, Alcoholic products technical guide, section 11',
  },
  /** A half goes up, as 27 CFR 30.23 says of proof. */
  nearestTenth: {
    id: 'nearest-tenth',
    step: 0.1,
    direction: 'nearest',
    source: '27 CFR 30.23 and 30.31(a), of proof',
  },
  none: { id: 'none', step: null, direction: 'nearest', source: 'no rounding' },
} as const satisfies Record<string, RoundingPolicy>;

/**
 * How far, in steps, a figure may fall short of a multiple or of a half and still count as on it: 40 % vol
 * computed as 39.999 999 999 9 is 40.0 for duty, not 39.9. Far below what any instrument resolves.
 */
const ON_THE_MULTIPLE = 1e-9;

/**
 * Rounds a figure by a policy. Halves go up (away from zero they never are: figures here are not negative).
 *
 * @throws OutOfRangeError on a negative or infinite figure or a step that is not above 0
 */
export function roundBy(policy: Pick<RoundingPolicy, 'step' | 'direction'>, value: number): number {
  requireNotNegative('figure to round', value, '(its own unit)');
  if (policy.step === null) return value;
  if (!(policy.step > 0)) {
    throw new OutOfRangeError('rounding step', policy.step, {
      min: Number.MIN_VALUE,
      max: Number.MAX_VALUE,
      unit: '(unit of the figure)',
    });
  }
  const steps = value / policy.step;
  const whole =
    policy.direction === 'down'
      ? Math.floor(steps + ON_THE_MULTIPLE)
      : Math.floor(steps + 0.5 + ON_THE_MULTIPLE);
  // Through its decimal form, so that 3 steps of 0.1 are 0.3 and not 0.30000000000000004.
  return Number((whole * policy.step).toPrecision(15));
}

/** Rounds to a number of decimals, halves up: the way the printed tables were made. */
export function roundHalfUp(value: number, decimals: number): number {
  return roundBy({ step: Number(`1e-${decimals}`), direction: 'nearest' }, value);
}

/**
 * Litres of pure alcohol for duty: bulk litres times the strength as the policy rounds it, over 100.
 *
 * @throws OutOfRangeError
 */
export function dutyLitresPureAlcohol(
  bulkLitresAt20C: number,
  strengthPercentVol: number,
  policy: RoundingPolicy,
): number {
  requireNotNegative('volume at 20 °C', bulkLitresAt20C, 'L');
  return (bulkLitresAt20C * roundBy(policy, strengthPercentVol)) / 100;
}
