/** Chances read off the quantiles of a forecast, each side of the median taken as half a normal curve. */
import { normalBelow } from '@rundlet/maturation';

interface Spread {
  readonly q05: number;
  readonly q50: number;
  readonly q95: number;
}
const Z95 = 1.6448536;

/** Chance that the quantity lies below a value. */
export function chanceBelow({ q05, q50, q95 }: Spread, value: number): number {
  const sd = (value < q50 ? q50 - q05 : q95 - q50) / Z95;
  if (!(sd > 0)) return value > q50 ? 1 : 0;
  return normalBelow((value - q50) / sd);
}
