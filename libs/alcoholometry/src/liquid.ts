import { ethanolDensity20C, ISOTHERM_20C, requireStrength } from './density.ts';
import { densityOn } from './isotherm.ts';
import { requireNotNegative } from './out-of-range.ts';
import { massFractionFromStrength } from './strength.ts';

/**
 * What a vessel holds, as masses. Masses add exactly whatever is mixed; litres never do, because ethanol
 * and water contract when they meet.
 */
export type Liquid = { readonly ethanolKg: number; readonly waterKg: number };

/** A volume of spirit at 20 °C and its strength. */
export type Spirit = { readonly bulkLitresAt20C: number; readonly strengthPercentVol: number };

/** {@link Spirit} with the pure alcohol it holds. */
export type SpiritVolume = Spirit & { readonly litresPureAlcohol: number };

/**
 * Masses of ethanol and water in a volume of spirit.
 *
 * @param bulkLitresAt20C volume at 20 °C, L, not negative
 * @param strengthPercentVol 0 to 100 % vol at 20 °C
 * @throws OutOfRangeError
 */
export function liquidFromVolume(bulkLitresAt20C: number, strengthPercentVol: number): Liquid {
  requireNotNegative('volume at 20 °C', bulkLitresAt20C, 'L');
  requireStrength(strengthPercentVol);
  const massFraction = massFractionFromStrength(strengthPercentVol);
  const kg = (bulkLitresAt20C * densityOn(ISOTHERM_20C, massFraction)) / 1000;
  return { ethanolKg: kg * massFraction, waterKg: kg * (1 - massFraction) };
}

/**
 * Volume at 20 °C, strength and litres of pure alcohol of a liquid. An empty liquid gives three zeros.
 *
 * @throws OutOfRangeError if a mass is negative or not finite
 */
export function volumeOfLiquid({ ethanolKg, waterKg }: Liquid): SpiritVolume {
  requireNotNegative('ethanol', ethanolKg, 'kg');
  requireNotNegative('water', waterKg, 'kg');
  const kg = ethanolKg + waterKg;
  if (kg === 0) return { bulkLitresAt20C: 0, strengthPercentVol: 0, litresPureAlcohol: 0 };
  const massFraction = ethanolKg / kg;
  const density = densityOn(ISOTHERM_20C, massFraction);
  return {
    bulkLitresAt20C: (1000 * kg) / density,
    strengthPercentVol: Math.min(100, (100 * (massFraction * density)) / ethanolDensity20C),
    litresPureAlcohol: (1000 * ethanolKg) / ethanolDensity20C,
  };
}

/** Mass fraction of ethanol in a liquid; 0 when it is empty. */
export function massFractionOfLiquid({ ethanolKg, waterKg }: Liquid): number {
  requireNotNegative('ethanol', ethanolKg, 'kg');
  requireNotNegative('water', waterKg, 'kg');
  const kg = ethanolKg + waterKg;
  return kg === 0 ? 0 : ethanolKg / kg;
}

/** The liquid that results when all of `liquids` are put together. No liquids give an empty one. */
export function mix(...liquids: readonly Liquid[]): Liquid {
  let ethanolKg = 0;
  let waterKg = 0;
  for (const liquid of liquids) {
    requireNotNegative('ethanol', liquid.ethanolKg, 'kg');
    requireNotNegative('water', liquid.waterKg, 'kg');
    ethanolKg += liquid.ethanolKg;
    waterKg += liquid.waterKg;
  }
  return { ethanolKg, waterKg };
}
