import { OutOfRangeError, requireNotNegative, requireWithin } from '../out-of-range.ts';
import { roundHalfUp } from '../rounding.ts';
import { PROOF_RANGE, requireProof } from './proof.ts';
import { TABLE_6 } from './table-6.ts';
import { WATER_POUNDS_PER_WINE_GALLON } from './units.ts';

/** 100 volumes of spirit at 60 °F as the regulation prints them. */
export type RecordComposition = {
  /** Volumes of alcohol in 100: half the proof. */
  readonly alcoholVolumes: number;
  /** Volumes of water in 100; with the alcohol they add to more than 100, by the contraction. */
  readonly waterVolumes: number;
  readonly specificGravityInAir: number;
  readonly specificGravityInVacuum: number;
};

/** Row of Table 6 at a whole proof; proof 0 is water. */
function row(proof: number): readonly [number, number, number] {
  return proof === 0 ? [100, 1, 1] : (TABLE_6[proof - 1] ?? [NaN, NaN, NaN]);
}

/** A value at whole degrees, interpolated in a straight line between them. */
function betweenWholeProofs(proof: number, at: (wholeProof: number) => number): number {
  const below = Math.floor(proof);
  const share = proof - below;
  return share === 0 ? at(below) : at(below) * (1 - share) + at(below + 1) * share;
}

/**
 * Alcohol, water and specific gravity of spirit at 60 °F.
 *
 * @param proof 0 to 200; between whole degrees in a straight line
 * @throws OutOfRangeError
 * @see 27 CFR 30.66, Table 6
 */
export function recordComposition(proof: number): RecordComposition {
  requireProof(proof);
  return {
    alcoholVolumes: proof / 2,
    waterVolumes: betweenWholeProofs(proof, (whole) => row(whole)[0]),
    specificGravityInAir: betweenWholeProofs(proof, (whole) => row(whole)[1]),
    specificGravityInVacuum: betweenWholeProofs(proof, (whole) => row(whole)[2]),
  };
}

/**
 * Proof from the specific gravity in air at 60/60 °F, by Table 6 read backwards in a straight line.
 *
 * @param specificGravityInAir 0.79365 (200 proof) to 1 (water)
 * @throws OutOfRangeError
 */
export function recordProofFromSpecificGravity(specificGravityInAir: number): number {
  const lightest = row(PROOF_RANGE.max)[1];
  requireWithin('specific gravity at 60 °F', specificGravityInAir, {
    min: lightest,
    max: 1,
    unit: '(water at 60 °F = 1)',
  });
  let proof = 0;
  while (proof < PROOF_RANGE.max && row(proof + 1)[1] > specificGravityInAir) proof++;
  const above = row(proof)[1];
  const step = proof === PROOF_RANGE.max ? 0 : above - row(proof + 1)[1];
  return step === 0 ? proof : proof + (above - specificGravityInAir) / step;
}

/**
 * Weight of a wine gallon of spirit at 60 °F, lb, to five decimals.
 * Specific gravity in air × 8.32823 lb; between whole degrees in a straight line.
 *
 * @see 27 CFR 30.65, Table 5
 */
export function poundsPerWineGallon(proof: number): number {
  requireProof(proof);
  return roundHalfUp(
    betweenWholeProofs(proof, (whole) =>
      roundHalfUp(row(whole)[1] * WATER_POUNDS_PER_WINE_GALLON, 5),
    ),
    5,
  );
}

/**
 * Weight of a proof gallon of spirit, lb, to five decimals. The print gives it from 60 proof up.
 *
 * @param proof above 0, to 200
 * @see 27 CFR 30.65, Table 5: the printed pounds per wine gallon × 100 / proof
 */
export function poundsPerProofGallon(proof: number): number {
  requireProof(proof);
  if (proof === 0) {
    throw new OutOfRangeError('proof', proof, PROOF_RANGE, 'water holds no proof gallons');
  }
  return roundHalfUp((poundsPerWineGallon(proof) * 100) / proof, 5);
}

/**
 * Wine gallons at 60 °F in a pound of spirit, to five decimals.
 * Between whole degrees in a straight line from the rounded cells, as the tenths of the print run.
 *
 * @see 27 CFR 30.64, Table 4
 */
export function wineGallonsPerPound(proof: number): number {
  requireProof(proof);
  return roundHalfUp(
    betweenWholeProofs(proof, (whole) =>
      roundHalfUp(1 / (row(whole)[1] * WATER_POUNDS_PER_WINE_GALLON), 5),
    ),
    5,
  );
}

/** Proof gallons in a pound of spirit, to five decimals: the rounded wine gallons × proof / 100 (Table 4). */
export function proofGallonsPerPound(proof: number): number {
  return roundHalfUp((wineGallonsPerPound(proof) * proof) / 100, 5);
}

/**
 * Wine gallons per pound of a sweetened liquid heavier than water.
 *
 * @param specificGravityAt60F above 1
 * @see 27 CFR 30.41: 0.120074 / specific gravity
 */
export function wineGallonsPerPoundHeavierThanWater(specificGravityAt60F: number): number {
  requireNotNegative('specific gravity', specificGravityAt60F, '(water at 60 °F = 1)');
  requireWithin('specific gravity', specificGravityAt60F, {
    min: 1,
    max: 2,
    unit: '(water at 60 °F = 1)',
  });
  return 0.120074 / specificGravityAt60F;
}
