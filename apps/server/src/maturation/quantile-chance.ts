/** Chances read off the quantiles of a forecast, each side of the median taken as half a normal curve. */

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
  return normalCdf((value - q50) / sd);
}

/** Φ by Abramowitz & Stegun 26.2.17, good to 7.5e-8. */
function normalCdf(z: number): number {
  if (z < 0) return 1 - normalCdf(-z);
  const t = 1 / (1 + 0.2316419 * z);
  const polynomial =
    t *
    (0.31938153 + t * (-0.356563782 + t * (1.781477937 + t * (-1.821255978 + t * 1.330274429))));
  return 1 - (Math.exp((-z * z) / 2) / Math.sqrt(2 * Math.PI)) * polynomial;
}
