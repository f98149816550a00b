import {
  ISOTHERM_20C,
  requireStrength,
  requireTemperature,
  STRENGTH_RANGE,
  waterDensity20C,
} from './density.ts';
import { densityOn, densitySlopeOn, isothermAt } from './isotherm.ts';
import {
  liquidFromVolume,
  mix,
  volumeOfLiquid,
  type Liquid,
  type Spirit,
  type SpiritVolume,
} from './liquid.ts';
import { OutOfRangeError, requireNotNegative } from './out-of-range.ts';
import { massFractionFromStrength } from './strength.ts';

/** A mixture and what it lost in volume against the sum of its parts. */
export type Mixture = SpiritVolume & { readonly contractionLitres: number };

/**
 * What spirits give when put together: volume, strength, pure alcohol and contraction, all at 20 °C.
 *
 * @throws OutOfRangeError on an impossible part
 */
export function mixSpirits(...spirits: readonly Spirit[]): Mixture {
  let litres = 0;
  const liquids = spirits.map(({ bulkLitresAt20C, strengthPercentVol }) => {
    litres += bulkLitresAt20C;
    return liquidFromVolume(bulkLitresAt20C, strengthPercentVol);
  });
  const mixture = volumeOfLiquid(mix(...liquids));
  return { ...mixture, contractionLitres: litres - mixture.bulkLitresAt20C };
}

/** What spirit becomes when a mass of water is put to it; the inverse question of `waterToReduce`. */
export function spiritWithWater(spirit: Spirit, waterKg: number): Mixture {
  requireNotNegative('water', waterKg, 'kg');
  const liquid = liquidFromVolume(spirit.bulkLitresAt20C, spirit.strengthPercentVol);
  const mixture = volumeOfLiquid(mix(liquid, { ethanolKg: 0, waterKg }));
  const litres = spirit.bulkLitresAt20C + (1000 * waterKg) / waterDensity20C;
  return { ...mixture, contractionLitres: litres - mixture.bulkLitresAt20C };
}

/** Litres that a mass of water fills at a temperature: what a meter or a jug at the tap has to show. */
export function waterLitres(waterKg: number, temperatureC: number): number {
  requireNotNegative('water', waterKg, 'kg');
  requireTemperature(temperatureC);
  return (1000 * waterKg) / isothermAt(temperatureC)[0];
}

/** A second spirit put to a first, and the result. */
export type Addition = {
  readonly addedLitresAt20C: number;
  readonly addedKg: number;
  readonly result: Mixture;
};

function addition(spirit: Spirit, addedStrengthPercentVol: number, addedKg: number): Addition {
  const p = massFractionFromStrength(addedStrengthPercentVol);
  const added: Liquid = { ethanolKg: addedKg * p, waterKg: addedKg * (1 - p) };
  const before = liquidFromVolume(spirit.bulkLitresAt20C, spirit.strengthPercentVol);
  const mixture = volumeOfLiquid(mix(before, added));
  const addedLitresAt20C = (1000 * addedKg) / densityOn(ISOTHERM_20C, p);
  const contractionLitres = spirit.bulkLitresAt20C + addedLitresAt20C - mixture.bulkLitresAt20C;
  return { addedLitresAt20C, addedKg, result: { ...mixture, contractionLitres } };
}

/**
 * How much spirit (or water, 0 % vol) of another strength brings a spirit to a target strength, up or down.
 *
 * @param target strictly between the two strengths, or the spirit's own (then nothing is added), % vol
 * @throws OutOfRangeError if no amount reaches the target
 */
export function additionToReach(
  spirit: Spirit,
  addedStrengthPercentVol: number,
  targetStrengthPercentVol: number,
): Addition {
  requireStrength(addedStrengthPercentVol, 'strength of the addition');
  requireStrength(targetStrengthPercentVol, 'target strength');
  const before = liquidFromVolume(spirit.bulkLitresAt20C, spirit.strengthPercentVol);
  const kg = before.ethanolKg + before.waterKg;
  if (targetStrengthPercentVol === spirit.strengthPercentVol || kg === 0) {
    return addition(spirit, addedStrengthPercentVol, 0);
  }
  const low = Math.min(spirit.strengthPercentVol, addedStrengthPercentVol);
  const high = Math.max(spirit.strengthPercentVol, addedStrengthPercentVol);
  if (!(targetStrengthPercentVol > low && targetStrengthPercentVol < high)) {
    throw new OutOfRangeError(
      'target strength',
      targetStrengthPercentVol,
      { min: low, max: high, unit: STRENGTH_RANGE.unit },
      'it has to lie strictly between the strengths that are put together',
    );
  }
  const target = massFractionFromStrength(targetStrengthPercentVol);
  const added = massFractionFromStrength(addedStrengthPercentVol);
  return addition(
    spirit,
    addedStrengthPercentVol,
    (target * kg - before.ethanolKg) / (added - target),
  );
}

/**
 * Topping up: how much spirit of another strength brings a vessel's content to a volume at 20 °C. Because of
 * the contraction it is a little more than the missing litres.
 *
 * @param finalLitresAt20C not less than the spirit's own volume, L
 * @throws OutOfRangeError
 */
export function topUp(
  spirit: Spirit,
  addedStrengthPercentVol: number,
  finalLitresAt20C: number,
): Addition {
  requireStrength(addedStrengthPercentVol, 'strength of the addition');
  if (!(finalLitresAt20C >= spirit.bulkLitresAt20C && finalLitresAt20C < Infinity)) {
    throw new OutOfRangeError('volume to top up to', finalLitresAt20C, {
      min: spirit.bulkLitresAt20C,
      max: Number.MAX_VALUE,
      unit: 'L at 20 °C',
    });
  }
  const before = liquidFromVolume(spirit.bulkLitresAt20C, spirit.strengthPercentVol);
  const added = massFractionFromStrength(addedStrengthPercentVol);
  if (finalLitresAt20C === spirit.bulkLitresAt20C)
    return addition(spirit, addedStrengthPercentVol, 0);
  // The volume rises with the mass added, nearly in a straight line: plain Newton from the uncontracted sum.
  let addedKg =
    ((finalLitresAt20C - spirit.bulkLitresAt20C) * densityOn(ISOTHERM_20C, added)) / 1000;
  for (let step = 0; step < 20; step++) {
    const kg = before.ethanolKg + before.waterKg + addedKg;
    const p = (before.ethanolKg + addedKg * added) / kg;
    const density = densityOn(ISOTHERM_20C, p);
    const slope = 1 - (densitySlopeOn(ISOTHERM_20C, p) * (added - p)) / density;
    const move = (kg - (finalLitresAt20C * density) / 1000) / slope;
    addedKg -= move;
    if (Math.abs(move) <= 1e-15 * kg) break;
  }
  return addition(spirit, addedStrengthPercentVol, addedKg);
}

/** A reduction planned from its result. */
export type Recipe = {
  readonly spiritLitresAt20C: number;
  readonly waterKg: number;
  readonly waterLitresAt20C: number;
  readonly contractionLitres: number;
};

/**
 * Spirit and water that make a given volume of a given strength.
 *
 * @param result what is wanted, at 20 °C
 * @param spiritStrengthPercentVol strength of the spirit at hand, not below the result's
 * @throws OutOfRangeError
 */
export function spiritAndWaterFor(result: Spirit, spiritStrengthPercentVol: number): Recipe {
  requireStrength(spiritStrengthPercentVol, 'strength of the spirit');
  const wanted = liquidFromVolume(result.bulkLitresAt20C, result.strengthPercentVol);
  if (spiritStrengthPercentVol < result.strengthPercentVol || spiritStrengthPercentVol === 0) {
    throw new OutOfRangeError(
      'strength of the spirit',
      spiritStrengthPercentVol,
      { min: result.strengthPercentVol, max: STRENGTH_RANGE.max, unit: STRENGTH_RANGE.unit },
      'water cannot raise a strength',
    );
  }
  const p = massFractionFromStrength(spiritStrengthPercentVol);
  const spiritKg = wanted.ethanolKg / p;
  const waterKg = Math.max(0, wanted.ethanolKg + wanted.waterKg - spiritKg);
  const spiritLitresAt20C = (1000 * spiritKg) / densityOn(ISOTHERM_20C, p);
  const waterLitresAt20C = (1000 * waterKg) / waterDensity20C;
  return {
    spiritLitresAt20C,
    waterKg,
    waterLitresAt20C,
    contractionLitres: spiritLitresAt20C + waterLitresAt20C - result.bulkLitresAt20C,
  };
}
