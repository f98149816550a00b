import { ethanolDensity20C, ISOTHERM_20C, requireStrength, requireTemperature } from './density.ts';
import { densityOn, isothermAt } from './isotherm.ts';
import { requireNotNegative } from './out-of-range.ts';
import { massFractionFromStrength } from './strength.ts';

/**
 * Factor that brings a volume of spirit read at `temperatureC` to its volume at 20 °C:
 * rho(p, t) / rho(p, 20). Exactly 1 at 20 °C.
 *
 * @throws OutOfRangeError outside 0 to 100 % vol or -20 to 40 °C
 */
export function volumeFactorTo20C(temperatureC: number, strengthPercentVol: number): number {
  requireTemperature(temperatureC);
  const p = massFractionFromStrength(strengthPercentVol);
  return densityOn(isothermAt(temperatureC), p) / densityOn(ISOTHERM_20C, p);
}

/** Litres at 20 °C of spirit that fills `litres` at `temperatureC`; the mass is what stays the same. */
export function litresAt20C(
  litres: number,
  temperatureC: number,
  strengthPercentVol: number,
): number {
  requireNotNegative('volume', litres, 'L');
  return litres * volumeFactorTo20C(temperatureC, strengthPercentVol);
}

/** Litres that `litresAt20C` of spirit fill at `temperatureC`; inverse of {@link litresAt20C}. */
export function litresAtTemperature(
  litresAt20C: number,
  temperatureC: number,
  strengthPercentVol: number,
): number {
  requireNotNegative('volume at 20 °C', litresAt20C, 'L');
  return litresAt20C / volumeFactorTo20C(temperatureC, strengthPercentVol);
}

/** Litres of pure alcohol (LPA) at 20 °C in `bulkLitresAt20C` of spirit. */
export function litresPureAlcohol(bulkLitresAt20C: number, strengthPercentVol: number): number {
  requireNotNegative('volume at 20 °C', bulkLitresAt20C, 'L');
  requireStrength(strengthPercentVol);
  return (bulkLitresAt20C * strengthPercentVol) / 100;
}

/** Litres of pure alcohol at 20 °C that a mass of ethanol is. */
export function litresPureAlcoholFromEthanolKg(ethanolKg: number): number {
  requireNotNegative('ethanol', ethanolKg, 'kg');
  return (1000 * ethanolKg) / ethanolDensity20C;
}

/** Mass of ethanol, kg, in a volume of pure alcohol at 20 °C. */
export function ethanolKgFromLitresPureAlcohol(litresPureAlcohol: number): number {
  requireNotNegative('pure alcohol', litresPureAlcohol, 'L');
  return (litresPureAlcohol * ethanolDensity20C) / 1000;
}
