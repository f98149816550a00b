/**
 * What a random sample says about all the casks it was drawn from. A sample is drawn without replacement from a known
 * number, so the count of wrong ones in it follows the hypergeometric law; the bound is Clopper and Pearson's argument
 * (C. J. Clopper, E. S. Pearson, Biometrika 26 (1934) 404) with that law in the binomial's place.
 */

/**
 * Most casks that may be wrong among `population` when `wrong` of a random `sample` were, at one-sided `confidence`
 * (0.95 means: a worse store would have shown more wrong ones in at least 95 of 100 samples).
 * @throws RangeError
 */
export function mostWrong(
  population: number,
  sample: number,
  wrong: number,
  confidence = 0.95,
): number {
  requireCounts(population, sample, wrong, confidence);
  // What was not drawn may be wrong as well: the true number lies between the seen ones and these.
  let low = wrong;
  let high = population - (sample - wrong);
  while (low < high) {
    const middle = Math.ceil((low + high) / 2);
    if (atMostInSample(population, sample, middle, wrong) > 1 - confidence) low = middle;
    else high = middle - 1;
  }
  return low;
}

/**
 * Casks to draw so that, if none of them is wrong, at most `tolerated` of `population` can be at this confidence.
 * @throws RangeError
 */
export function sampleFor(population: number, tolerated: number, confidence = 0.95): number {
  requireCounts(population, 0, 0, confidence);
  if (!Number.isInteger(tolerated) || tolerated < 0 || tolerated > population)
    throw new RangeError(
      `need 0 <= tolerated <= ${String(population)} casks, got ${String(tolerated)}`,
    );
  let low = 0;
  let high = population;
  while (low < high) {
    const middle = Math.floor((low + high) / 2);
    if (mostWrong(population, middle, 0, confidence) <= tolerated) high = middle;
    else low = middle + 1;
  }
  return low;
}

/** Chance that a sample shows at most `seen` wrong ones when `wrong` of the population are. */
function atMostInSample(population: number, sample: number, wrong: number, seen: number): number {
  let sum = 0;
  for (let k = Math.max(0, sample - (population - wrong)); k <= seen; k++)
    sum += Math.exp(
      logChoose(wrong, k) +
        logChoose(population - wrong, sample - k) -
        logChoose(population, sample),
    );
  return sum;
}

const logChoose = (n: number, k: number): number =>
  k < 0 || k > n ? -Infinity : logFactorial(n) - logFactorial(k) - logFactorial(n - k);

const logFactorials: number[] = [0];
function logFactorial(n: number): number {
  for (let i = logFactorials.length; i <= n; i++)
    logFactorials.push((logFactorials[i - 1] ?? 0) + Math.log(i));
  return logFactorials[n] ?? 0;
}

function requireCounts(population: number, sample: number, wrong: number, confidence: number) {
  const whole = [population, sample, wrong].every((n) => Number.isInteger(n) && n >= 0);
  if (!whole || wrong > sample || sample > population || population > 10_000_000)
    throw new RangeError(
      `need whole casks with 0 <= wrong <= sample <= population <= 10000000, got ${String(wrong)}, ${String(sample)}, ${String(population)}`,
    );
  if (!(confidence > 0 && confidence < 1))
    throw new RangeError(`need 0 < confidence < 1, got ${String(confidence)}`);
}
