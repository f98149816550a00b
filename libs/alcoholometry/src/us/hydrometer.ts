import { requireTemperature } from '../density.ts';
import { densityFromGlassReading, glassReadingFromDensity, type Glass } from '../hydrometer.ts';
import { densityOn, isothermAt } from '../isotherm.ts';
import { massFractionFromDensity } from '../strength.ts';
import { massFractionFromProof, proofFromMassFraction } from './proof.ts';
import { celsiusFromFahrenheit, SIXTY_F_IN_C } from './units.ts';

/** Soda-lime glass graduated at 60 °F. */
export const SODA_LIME_GLASS_60F: Glass = { expansionPerC: 25e-6, referenceC: SIXTY_F_IN_C };

/**
 * True proof from a proof hydrometer's reading at a temperature, by formula.
 *
 * It follows Table 1 of 27 CFR 30.61 within 0.14 from 50 to 100 °F and drifts by up to 0.25 below 50 °F,
 * where the table rests on older densities: for a gauge of record use {@link recordTrueProof} with the table.
 *
 * @throws OutOfRangeError if no mixture reads so
 */
export function proofFromHydrometer(
  reading: number,
  temperatureF: number,
  glass: Glass = SODA_LIME_GLASS_60F,
): number {
  const temperatureC = celsiusFromFahrenheit(temperatureF);
  requireTemperature(temperatureC);
  const onScale = densityOn(isothermAt(glass.referenceC), massFractionFromProof(reading));
  const density = densityFromGlassReading(onScale, temperatureC, glass);
  return proofFromMassFraction(massFractionFromDensity(density, temperatureC));
}

/** What a proof hydrometer shows in spirit of a true proof; inverse of {@link proofFromHydrometer}. */
export function hydrometerReadingFromProof(
  proof: number,
  temperatureF: number,
  glass: Glass = SODA_LIME_GLASS_60F,
): number {
  const temperatureC = celsiusFromFahrenheit(temperatureF);
  requireTemperature(temperatureC);
  const density = densityOn(isothermAt(temperatureC), massFractionFromProof(proof));
  const onScale = glassReadingFromDensity(density, temperatureC, glass);
  return proofFromMassFraction(massFractionFromDensity(onScale, glass.referenceC));
}

/** Factor by formula, unrounded, from a volume at a temperature to 60 °F; the table's is `recordVolumeFactor`. */
export function volumeFactorTo60F(proof: number, temperatureF: number): number {
  const temperatureC = celsiusFromFahrenheit(temperatureF);
  requireTemperature(temperatureC);
  const massFraction = massFractionFromProof(proof);
  return (
    densityOn(isothermAt(temperatureC), massFraction) /
    densityOn(isothermAt(SIXTY_F_IN_C), massFraction)
  );
}
