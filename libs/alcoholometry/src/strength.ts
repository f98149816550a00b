import {
  ethanolDensity20C,
  ISOTHERM_20C,
  requireMassFraction,
  requireStrength,
  requireTemperature,
} from './density.ts';
import { massFractionFromPartialDensity, massFractionOn } from './inverse.ts';
import { densityOn, passingIsothermAt, percentVolOn } from './isotherm.ts';
import { requireWithin } from './out-of-range.ts';

/** Slack at both ends of a density range for the last bits of a double, kg/m³. */
const ROUNDING_SLACK = 1e-9;

/**
 * Alcoholic strength, % vol at 20 °C, from the mass fraction of ethanol (0 to 1).
 *
 * The strength is the volume of ethanol at 20 °C that the mixture holds, per volume of mixture at 20 °C:
 * 100 p rho(p, 20) / rho(1, 20). Pure water gives exactly 0, pure ethanol exactly 100.
 *
 * @throws OutOfRangeError
 * @see Directive 76/766/EEC, Annex, par. 1; OIML R 22.
 */
export function strengthFromMassFraction(massFraction: number): number {
  requireMassFraction(massFraction);
  return percentVolOn(ISOTHERM_20C, ethanolDensity20C, massFraction);
}

/**
 * Mass fraction of ethanol (0 to 1) from the alcoholic strength, % vol at 20 °C (0 to 100).
 * Inverse of {@link strengthFromMassFraction}.
 *
 * @throws OutOfRangeError
 */
export function massFractionFromStrength(strengthPercentVol: number): number {
  requireStrength(strengthPercentVol);
  return massFractionFromPartialDensity(
    ISOTHERM_20C,
    (strengthPercentVol * ethanolDensity20C) / 100,
  );
}

/**
 * Mass fraction of ethanol (0 to 1) from the true density, kg/m³, at `temperatureC` (-20 to 40 °C).
 * The density falls strictly with the mass fraction at every temperature of the range, so the answer is unique.
 *
 * @param toleranceKgPerM3 a reading beyond pure water or pure ethanol by at most this much counts as
 *   pure; give the instrument's uncertainty when you test one in water. Default: the last bits of a double.
 * @throws OutOfRangeError if no mixture has that density at that temperature
 */
export function massFractionFromDensity(
  densityKgPerM3: number,
  temperatureC: number,
  toleranceKgPerM3: number = ROUNDING_SLACK,
): number {
  requireTemperature(temperatureC);
  const isotherm = passingIsothermAt(temperatureC);
  const lightest = densityOn(isotherm, 1);
  const densest = isotherm[0];
  if (!(
    densityKgPerM3 >= lightest - toleranceKgPerM3 && densityKgPerM3 <= densest + toleranceKgPerM3
  )) {
    requireWithin(
      `density at ${temperatureC} °C`,
      densityKgPerM3,
      { min: lightest, max: densest, unit: 'kg/m³' },
      'no mixture of ethanol and water has this density; check the reading, the temperature and dissolved solids',
    );
  }
  return massFractionOn(isotherm, densityKgPerM3);
}

/**
 * Alcoholic strength, % vol at 20 °C, from the true density, kg/m³, at `temperatureC`.
 * Domain, tolerance and errors as {@link massFractionFromDensity}.
 */
export function strengthFromDensity(
  densityKgPerM3: number,
  temperatureC: number,
  toleranceKgPerM3: number = ROUNDING_SLACK,
): number {
  return strengthFromMassFraction(
    massFractionFromDensity(densityKgPerM3, temperatureC, toleranceKgPerM3),
  );
}

/** True density, kg/m³, at `temperatureC` of spirit whose strength at 20 °C is given. */
export function densityFromStrength(strengthPercentVol: number, temperatureC: number): number {
  const massFraction = massFractionFromStrength(strengthPercentVol);
  requireTemperature(temperatureC);
  return densityOn(passingIsothermAt(temperatureC), massFraction);
}
