import {
  requireMassFraction,
  requireStrength,
  requireTemperature,
  STRENGTH_RANGE,
} from './density.ts';
import { massFractionFromPartialDensity } from './inverse.ts';
import { densityOn, isothermAt, percentVolOn } from './isotherm.ts';
import { OutOfRangeError } from './out-of-range.ts';

/**
 * Strength, % vol, stated at another temperature than 20 °C: volume of ethanol over volume of mixture, both
 * at `referenceC`. Gay-Lussac's degrees are at 15 °C, half the American proof at 60 °F.
 *
 * @param massFraction 0 to 1
 * @param referenceC -20 to 40 °C
 * @throws OutOfRangeError
 */
export function strengthAtReference(massFraction: number, referenceC: number): number {
  requireMassFraction(massFraction);
  requireTemperature(referenceC);
  const isotherm = isothermAt(referenceC);
  return percentVolOn(isotherm, densityOn(isotherm, 1), massFraction);
}

/** Mass fraction from a strength stated at `referenceC`; inverse of {@link strengthAtReference}. */
export function massFractionFromStrengthAt(strengthPercentVol: number, referenceC: number): number {
  requireStrength(strengthPercentVol);
  requireTemperature(referenceC);
  const isotherm = isothermAt(referenceC);
  return massFractionFromPartialDensity(
    isotherm,
    (strengthPercentVol * densityOn(isotherm, 1)) / 100,
  );
}

/**
 * Volumes of water to put to 100 volumes of spirit to reduce it, all volumes and strengths at `referenceC`:
 * what the printed reduction tables list.
 *
 * @param fromPercentVol strength of the spirit, above 0
 * @param toPercentVol strength wanted, above 0 and not above the spirit's
 * @throws OutOfRangeError
 */
export function waterPer100Volumes(
  fromPercentVol: number,
  toPercentVol: number,
  referenceC: number,
): number {
  const from = massFractionFromStrengthAt(fromPercentVol, referenceC);
  const to = massFractionFromStrengthAt(toPercentVol, referenceC);
  if (!(toPercentVol > 0 && toPercentVol <= fromPercentVol)) {
    throw new OutOfRangeError(
      'target strength',
      toPercentVol,
      { min: 0, max: fromPercentVol, unit: STRENGTH_RANGE.unit },
      'water lowers a strength and never reaches 0',
    );
  }
  const isotherm = isothermAt(referenceC);
  return (100 * densityOn(isotherm, from) * (from / to - 1)) / isotherm[0];
}
