/**
 * Φ(z), the standard normal distribution function, to 1e-15: the error function by its power series
 * where |z| is small and by its continued fraction in the tails.
 * Source: Abramowitz & Stegun, Handbook of Mathematical Functions, 26.2.10 and 26.2.14.
 */
export function normalCdf(z: number): number {
  if (z < 0) return 1 - normalCdf(-z);
  if (z > 38) return 1;
  const density = Math.exp((-z * z) / 2) / Math.sqrt(2 * Math.PI);
  if (z < 4) {
    let term = z;
    let sum = z;
    for (let n = 1; Math.abs(term) > 1e-17 * sum; n++) {
      term *= (z * z) / (2 * n + 1);
      sum += term;
    }
    return 0.5 + density * sum;
  }
  let fraction = z;
  for (let n = 80; n >= 1; n--) fraction = z + n / fraction;
  return 1 - density / fraction;
}

/** z with Φ(z) = probability, by bisection; probability strictly between 0 and 1. */
export function normalQuantile(probability: number): number {
  if (!(probability > 0 && probability < 1))
    throw new RangeError(`probability ${probability} must lie between 0 and 1`);
  let low = -40;
  let high = 40;
  for (let step = 0; step < 100; step++) {
    const middle = (low + high) / 2;
    if (normalCdf(middle) < probability) low = middle;
    else high = middle;
  }
  return (low + high) / 2;
}

/**
 * Standard deviation of a normal quantity whose central interval is given.
 * @param coverage e.g. 0.9 for the 5 % and 95 % quantiles
 */
export function sdFromInterval(low: number, high: number, coverage: number): number {
  if (!(high >= low)) throw new RangeError(`interval ${low}…${high}: low must not exceed high`);
  return (high - low) / (2 * normalQuantile((1 + coverage) / 2));
}
