/**
 * Standard normal distribution function, to 1.5e-7 (Abramowitz & Stegun 7.1.26). `bell` is exp(−x²/2),
 * for callers that have it.
 */
export function normalBelow(x: number, bell = Math.exp(-0.5 * x * x)): number {
  const t = 1 / (1 + 0.3275911 * Math.SQRT1_2 * Math.abs(x));
  const tail =
    0.5 *
    t *
    (0.254829592 + t * (-0.284496736 + t * (1.421413741 + t * (-1.453152027 + t * 1.061405429)))) *
    bell;
  return x >= 0 ? 1 - tail : tail;
}

/** Probabilities of `Quantiles`, in order. */
export const LEVELS = [0.05, 0.1, 0.5, 0.9, 0.95] as const;
/** Standard normal points of LEVELS. */
export const LEVEL_POINTS = [
  -1.6448536269514722, -1.2815515655446004, 0, 1.2815515655446004, 1.6448536269514722,
] as const;
