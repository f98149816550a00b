import { requireMassFraction, requireStrength } from '../density.ts';
import { massFractionFromPartialDensity } from '../inverse.ts';
import { densityOn, isothermAt, percentVolOn, type Isotherm } from '../isotherm.ts';
import { requireFinite, requireNotNegative, requireWithin, type Range } from '../out-of-range.ts';
import { massFractionFromStrength, strengthFromMassFraction } from '../strength.ts';
import { litresPureAlcohol } from '../volume.ts';
import { LITRES_PER_WINE_GALLON, SIXTY_F_IN_C } from './units.ts';

/** Degrees of proof, from water to absolute alcohol. */
export const PROOF_RANGE: Range = { min: 0, max: 200, unit: 'proof' };

const ISOTHERM_60F: Isotherm = isothermAt(SIXTY_F_IN_C);
const ETHANOL_DENSITY_60F = densityOn(ISOTHERM_60F, 1);
const PROOF_GALLONS_PER_LITRE_PURE_ALCOHOL =
  (2 * densityOn(isothermAt(20), 1)) / ETHANOL_DENSITY_60F / LITRES_PER_WINE_GALLON;

export function requireProof(proof: number, quantity = 'proof'): void {
  requireWithin(quantity, proof, PROOF_RANGE);
}

/**
 * Proof from the mass fraction of ethanol: twice the percentage by volume at 60 °F (27 CFR 30.11), by the
 * densities of OIML R 22. The tables of the regulation rest on older densities and differ by up to 0.1.
 *
 * @throws OutOfRangeError
 */
export function proofFromMassFraction(massFraction: number): number {
  requireMassFraction(massFraction);
  return 2 * percentVolOn(ISOTHERM_60F, ETHANOL_DENSITY_60F, massFraction);
}

/** Mass fraction of ethanol from proof; inverse of {@link proofFromMassFraction}. */
export function massFractionFromProof(proof: number): number {
  requireProof(proof);
  return massFractionFromPartialDensity(ISOTHERM_60F, (proof * ETHANOL_DENSITY_60F) / 200);
}

/** Proof (60 °F) from strength, % vol at 20 °C. Not simply twice it: 50 % vol is 99.91 proof. */
export function proofFromStrength(strengthPercentVol: number): number {
  return proofFromMassFraction(massFractionFromStrength(strengthPercentVol));
}

/** Strength, % vol at 20 °C, from proof (60 °F). */
export function strengthFromProof(proof: number): number {
  return strengthFromMassFraction(massFractionFromProof(proof));
}

/** A volume of spirit in the American manner. */
export type UsSpirit = {
  readonly wineGallonsAt60F: number;
  readonly proof: number;
  /** Wine gallons × proof / 100 (27 CFR 30.51). */
  readonly proofGallons: number;
};

/** Wine gallons at 60 °F, proof and proof gallons of spirit stated in litres and % vol at 20 °C. */
export function usSpiritFromVolume(bulkLitresAt20C: number, strengthPercentVol: number): UsSpirit {
  requireNotNegative('volume at 20 °C', bulkLitresAt20C, 'L');
  requireStrength(strengthPercentVol);
  const massFraction = massFractionFromStrength(strengthPercentVol);
  const litresAt60F =
    (bulkLitresAt20C * densityOn(isothermAt(20), massFraction)) /
    densityOn(ISOTHERM_60F, massFraction);
  const wineGallonsAt60F = litresAt60F / LITRES_PER_WINE_GALLON;
  const proof = proofFromMassFraction(massFraction);
  return { wineGallonsAt60F, proof, proofGallons: (wineGallonsAt60F * proof) / 100 };
}

/**
 * Proof gallons of an amount of ethanol stated in litres of pure alcohol at 20 °C. A proof gallon holds half a wine gallon of
 * ethanol at 60 °F (27 CFR 30.11), so that the amounts stand in one proportion at every strength.
 */
export function proofGallonsFromLitresPureAlcohol(lpa: number): number {
  // below nought too: differences are booked in these
  requireFinite('pure alcohol', lpa, 'L');
  return lpa * PROOF_GALLONS_PER_LITRE_PURE_ALCOHOL;
}

/** Litres at 20 °C, strength and litres of pure alcohol of spirit stated in wine gallons at 60 °F and proof. */
export function volumeFromUsSpirit(
  wineGallonsAt60F: number,
  proof: number,
): { bulkLitresAt20C: number; strengthPercentVol: number; litresPureAlcohol: number } {
  requireNotNegative('volume at 60 °F', wineGallonsAt60F, 'wine gallons');
  const massFraction = massFractionFromProof(proof);
  const bulkLitresAt20C =
    (wineGallonsAt60F * LITRES_PER_WINE_GALLON * densityOn(ISOTHERM_60F, massFraction)) /
    densityOn(isothermAt(20), massFraction);
  const strengthPercentVol = strengthFromMassFraction(massFraction);
  return {
    bulkLitresAt20C,
    strengthPercentVol,
    litresPureAlcohol: litresPureAlcohol(bulkLitresAt20C, strengthPercentVol),
  };
}
