import { densityOn, isothermAt, passingIsothermAt, type Isotherm } from './isotherm.ts';
import { requireFinite, requireWithin, type Range } from './out-of-range.ts';

/** Temperatures the formula of OIML R 22 was fitted for. */
export const TEMPERATURE_RANGE: Range = { min: -20, max: 40, unit: '°C' };
/** Mass fraction of ethanol, from pure water to pure ethanol. */
export const MASS_FRACTION_RANGE: Range = { min: 0, max: 1, unit: 'kg/kg' };
/** Alcoholic strength, from pure water to pure ethanol. */
export const STRENGTH_RANGE: Range = { min: 0, max: 100, unit: '% vol' };

/** The isotherm strengths and bulk litres are stated on: 20 °C. */
export const ISOTHERM_20C: Isotherm = isothermAt(20);

/** Density of pure ethanol at 20 °C by the formula, kg/m³ (789.2391; OIML R 22 prints 789.24). */
export const ethanolDensity20C: number = densityOn(ISOTHERM_20C, 1);
/** Density of pure water at 20 °C by the formula, kg/m³ (998.20123). */
export const waterDensity20C: number = densityOn(ISOTHERM_20C, 0);

export function requireTemperature(temperatureC: number): void {
  requireWithin('temperature', temperatureC, TEMPERATURE_RANGE);
}

export function requireMassFraction(massFraction: number): void {
  requireWithin('mass fraction of ethanol', massFraction, MASS_FRACTION_RANGE);
}

export function requireStrength(strengthPercentVol: number, quantity = 'strength'): void {
  requireWithin(quantity, strengthPercentVol, STRENGTH_RANGE);
}

/**
 * Density of an ethanol-water mixture, kg/m³, true (in vacuo).
 *
 * @param massFraction ethanol kg per kg of mixture, 0 to 1
 * @param temperatureC -20 to 40 °C
 * @throws OutOfRangeError outside either range
 * @see OIML R 22 (1973), general formula. Below the freezing point of the mixture it is the density of
 *   the supercooled liquid; the formula stays smooth and strictly falling in the mass fraction there.
 */
export function densityKgPerM3(massFraction: number, temperatureC: number): number {
  requireMassFraction(massFraction);
  requireTemperature(temperatureC);
  return densityOn(passingIsothermAt(temperatureC), massFraction);
}

/**
 * Temperature on the scale of 1968, which OIML R 22 was made on, from a reading on that of 1990, which
 * today's thermometers are adjusted to: 1.00024 t. The difference, 0.005 °C at 20 °C, is worth at most
 * 0.009 kg/m³; the tables in force are entered with the reading as it is, so nothing here applies it unasked.
 *
 * @see H. Preston-Thomas, Metrologia 27 (1990) 3, on the two scales between -200 and 630 °C.
 */
export function ipts68FromIts90(temperatureC: number): number {
  requireFinite('temperature', temperatureC, '°C');
  return 1.00024 * temperatureC;
}
