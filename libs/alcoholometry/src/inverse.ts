import { densityOn, densitySlopeOn, type Isotherm } from './isotherm.ts';

/**
 * Newton's method kept inside a shrinking bracket. Each inverse here is of a function that is strictly
 * monotone on [0, 1], so the bracket always holds the one root and a step that leaves it is replaced by
 * bisection. Convergence is quadratic: once a step is below 1e-8 the next would be below 1e-14.
 */
const LAST_STEP = 1e-8;
const MAX_STEPS = 80;

/** Mass fraction whose density on isotherm `c` is `density`; the caller has checked that it exists. */
export function massFractionOn(c: Isotherm, density: number): number {
  const atWater = c[0];
  const atEthanol = densityOn(c, 1);
  if (density >= atWater) return 0;
  if (density <= atEthanol) return 1;
  // How far along from water to ethanol the density lies; the quartic is a fit of p to it at 20 °C.
  const y = (atWater - density) / (atWater - atEthanol);
  let p = y * (1.7 + y * (-1.75 + y * (1.6 + y * -0.55)));
  let low = 0;
  let high = 1;
  for (let step = 0; step < MAX_STEPS; step++) {
    const excess = densityOn(c, p) - density;
    if (excess > 0) low = p;
    else high = p;
    let next = p - excess / densitySlopeOn(c, p);
    if (!(next > low && next < high)) {
      // Equal to a bound means that the step is below the spacing of doubles: p is the answer.
      if (next === p) return p;
      next = (low + high) / 2;
    }
    const move = next - p;
    p = next;
    if (move < LAST_STEP && move > -LAST_STEP) return p;
  }
  return p;
}

/** Mass fraction p with p·rho(p) = `ethanolPerVolume` (kg/m³) on isotherm `c`, 0 to rho(1). */
export function massFractionFromPartialDensity(c: Isotherm, ethanolPerVolume: number): number {
  const atEthanol = densityOn(c, 1);
  if (ethanolPerVolume <= 0) return 0;
  if (ethanolPerVolume >= atEthanol) return 1;
  const y = ethanolPerVolume / atEthanol;
  let p = y * (0.79 + y * (0.12 + y * (-0.1 + y * 0.19)));
  let low = 0;
  let high = 1;
  for (let step = 0; step < MAX_STEPS; step++) {
    const rho = densityOn(c, p);
    const excess = p * rho - ethanolPerVolume;
    if (excess < 0) low = p;
    else high = p;
    let next = p - excess / (rho + p * densitySlopeOn(c, p));
    if (!(next > low && next < high)) {
      if (next === p) return p;
      next = (low + high) / 2;
    }
    const move = next - p;
    p = next;
    if (move < LAST_STEP && move > -LAST_STEP) return p;
  }
  return p;
}
