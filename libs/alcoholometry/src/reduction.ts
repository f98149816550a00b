import { requireStrength, STRENGTH_RANGE, waterDensity20C } from './density.ts';
import { liquidFromVolume, volumeOfLiquid, type Spirit } from './liquid.ts';
import { OutOfRangeError } from './out-of-range.ts';
import { massFractionFromStrength } from './strength.ts';

export type Reduction = {
  /** Mass of water to add; weigh it where you can, mass needs no temperature. */
  readonly waterKg: number;
  readonly waterLitresAt20C: number;
  readonly resultLitresAt20C: number;
  /** Spirit plus water minus result, L at 20 °C. */
  readonly contractionLitres: number;
};

/**
 * Water that brings spirit down to a target strength. The ethanol stays, so its mass fixes the mass of
 * the result and the water is the difference of the masses.
 *
 * @param spirit volume and strength at 20 °C
 * @param targetStrengthPercentVol above 0 and not above the spirit's strength, % vol
 * @throws OutOfRangeError; water cannot raise a strength
 */
export function waterToReduce(spirit: Spirit, targetStrengthPercentVol: number): Reduction {
  const before = liquidFromVolume(spirit.bulkLitresAt20C, spirit.strengthPercentVol);
  requireStrength(targetStrengthPercentVol, 'target strength');
  if (
    targetStrengthPercentVol > spirit.strengthPercentVol ||
    (targetStrengthPercentVol === 0 && before.ethanolKg > 0)
  ) {
    throw new OutOfRangeError(
      'target strength',
      targetStrengthPercentVol,
      { min: 0, max: spirit.strengthPercentVol, unit: STRENGTH_RANGE.unit },
      'water lowers a strength and never reaches 0',
    );
  }
  if (targetStrengthPercentVol === spirit.strengthPercentVol || before.ethanolKg === 0) {
    return {
      waterKg: 0,
      waterLitresAt20C: 0,
      resultLitresAt20C: spirit.bulkLitresAt20C,
      contractionLitres: 0,
    };
  }
  const massFraction = massFractionFromStrength(targetStrengthPercentVol);
  // Not below 0 by the last bits when the two strengths are all but equal.
  const waterKg = Math.max(
    0,
    (before.ethanolKg * (1 - massFraction)) / massFraction - before.waterKg,
  );
  const waterLitresAt20C = (1000 * waterKg) / waterDensity20C;
  const after = volumeOfLiquid({ ethanolKg: before.ethanolKg, waterKg: before.waterKg + waterKg });
  return {
    waterKg,
    waterLitresAt20C,
    resultLitresAt20C: after.bulkLitresAt20C,
    contractionLitres: spirit.bulkLitresAt20C + waterLitresAt20C - after.bulkLitresAt20C,
  };
}
