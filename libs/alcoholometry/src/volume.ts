import { ethanolDensity20C, ISOTHERM_20C, requireStrength, requireTemperature } from './density.ts';
import { densityOn, passingIsothermAt } from './isotherm.ts';
import { requireFinite, requireNotNegative, requireWithin } from './out-of-range.ts';
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
  return densityOn(passingIsothermAt(temperatureC), p) / densityOn(ISOTHERM_20C, p);
}

/** How a measuring vessel or tank grows: cubic expansion and the temperature its marks hold at. */
export type VesselExpansion = { readonly expansionPerC: number; readonly referenceC: number };

/** A vessel whose marks hold at any temperature, or whose growth another instrument has corrected. */
export const RIGID_VESSEL: VesselExpansion = { expansionPerC: 0, referenceC: 20 };
/** A carbon-steel tank graduated at 20 °C; the value behind the volume factors of the Brazilian table for hydrous ethanol. */
export const CARBON_STEEL_VESSEL: VesselExpansion = { expansionPerC: 36e-6, referenceC: 20 };

/** True litres per litre shown: above 1 when the vessel has grown. */
function vesselFactor(temperatureC: number, vessel: VesselExpansion): number {
  requireWithin('expansion of the vessel', vessel.expansionPerC, {
    min: 0,
    max: 1e-3,
    unit: 'per °C',
  });
  requireFinite('reference temperature', vessel.referenceC, '°C');
  return 1 + vessel.expansionPerC * (temperatureC - vessel.referenceC);
}

/**
 * Litres at 20 °C of spirit that fills `litres` at `temperatureC`; the mass is what stays the same.
 *
 * @param litres read at the temperature, not negative
 * @param temperatureC -20 to 40 °C
 * @param strengthPercentVol 0 to 100 % vol at 20 °C
 * @param vessel what the litres were read in; rigid by default
 * @throws OutOfRangeError
 */
export function litresAt20C(
  litres: number,
  temperatureC: number,
  strengthPercentVol: number,
  vessel: VesselExpansion = RIGID_VESSEL,
): number {
  requireNotNegative('volume', litres, 'L');
  return (
    litres *
    vesselFactor(temperatureC, vessel) *
    volumeFactorTo20C(temperatureC, strengthPercentVol)
  );
}

/** Litres that `litresAt20C` of spirit show at `temperatureC`; inverse of {@link litresAt20C}. */
export function litresAtTemperature(
  litresAt20C: number,
  temperatureC: number,
  strengthPercentVol: number,
  vessel: VesselExpansion = RIGID_VESSEL,
): number {
  requireNotNegative('volume at 20 °C', litresAt20C, 'L');
  return (
    litresAt20C /
    volumeFactorTo20C(temperatureC, strengthPercentVol) /
    vesselFactor(temperatureC, vessel)
  );
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
