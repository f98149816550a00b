import { requireNotNegative, requireWithin } from '../out-of-range.ts';
import { roundHalfUp } from '../rounding.ts';

/** How proof is to be found when solids are present, by their amount (27 CFR 30.31(b) and (c)). */
export type ProofMethod = 'hydrometer' | 'hydrometer-and-obscuration' | 'distillation';

/**
 * Which method the regulation asks for.
 *
 * @param solidsMgPer100Ml dissolved solids, mg per 100 mL
 * @see 27 CFR 30.31: to 400 the hydrometer alone, to 600 with obscuration added, beyond by distillation
 */
export function proofMethodForSolids(solidsMgPer100Ml: number): ProofMethod {
  requireNotNegative('dissolved solids', solidsMgPer100Ml, 'mg/100 mL');
  if (solidsMgPer100Ml <= 400) return 'hydrometer';
  return solidsMgPer100Ml <= 600 ? 'hydrometer-and-obscuration' : 'distillation';
}

/**
 * Degrees of proof that solids hide, from the dried residue of 25 mL: grams × 4 are grams per 100 mL, and
 * 0.1 g per 100 mL hides 0.4 degree. To a tenth.
 *
 * @param residueGrams dried residue of 25 mL, g
 * @param proof hydrometer proof, 80 to 100: the rule holds only there
 * @throws OutOfRangeError
 * @see 27 CFR 30.32(b)
 */
export function obscurationFromResidue(residueGrams: number, proof: number): number {
  requireNotNegative('residue', residueGrams, 'g');
  requireWithin(
    'proof',
    proof,
    { min: 80, max: 100, unit: 'proof' },
    'determine true proof by distillation',
  );
  return roundHalfUp(residueGrams * 4 * 4, 1);
}
