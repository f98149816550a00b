import { OutOfRangeError, requireNotNegative, requireWithin } from '../out-of-range.ts';
import { roundBy, roundHalfUp } from '../rounding.ts';
import { interpolateBilinear, interpolateByDifferences, type GridTable } from './grid-table.ts';
import { requireProof } from './proof.ts';
import {
  poundsPerWineGallon,
  proofGallonsPerPound,
  recordComposition,
  wineGallonsPerPound,
} from './record-weights.ts';
import { TABLE_7 } from './table-7.ts';

/** Wine and proof gallons as entered in a record, to a tenth. */
export type RecordGallons = { readonly wineGallons: number; readonly proofGallons: number };

/**
 * True proof from a hydrometer reading, to the nearest tenth.
 *
 * @param table the full Table 1, whole degrees of proof by whole °F
 * @param reading hydrometer reading, corrected for the instrument
 * @param temperatureF thermometer reading, corrected
 * @throws OutOfRangeError beyond the table or at an empty cell
 * @see 27 CFR 30.23, 30.31(a) and 30.61
 */
export function recordTrueProof(table: GridTable, reading: number, temperatureF: number): number {
  return roundHalfUp(
    interpolateByDifferences(table, reading, temperatureF, {
      row: 'hydrometer reading',
      rowUnit: 'proof',
      column: 'temperature',
      columnUnit: '°F',
    }),
    1,
  );
}

/**
 * Factor, to three decimals, that brings wine gallons at a temperature to wine gallons at 60 °F.
 * Between the printed proofs and temperatures bilinear: that part is ours, the regulation has no rule.
 *
 * @param proof 0 to 200
 * @param temperatureF 18 to 100, less where the spirit freezes
 * @throws OutOfRangeError
 * @see 27 CFR 30.51 and 30.67, Table 7
 */
export function recordVolumeFactor(proof: number, temperatureF: number): number {
  return roundHalfUp(
    interpolateBilinear(TABLE_7, proof, temperatureF, {
      row: 'proof',
      rowUnit: 'proof',
      column: 'temperature',
      columnUnit: '°F',
    }),
    3,
  );
}

/** Proof gallons of a measured volume: wine gallons × Table 7 × proof / 100, to a tenth (27 CFR 30.51). */
export function recordGallonsByVolume(
  wineGallons: number,
  proof: number,
  temperatureF: number,
): RecordGallons {
  requireNotNegative('volume', wineGallons, 'wine gallons');
  const at60F = wineGallons * recordVolumeFactor(proof, temperatureF);
  return {
    wineGallons: roundHalfUp(at60F, 1),
    proofGallons: roundHalfUp((at60F * proof) / 100, 1),
  };
}

/** Wine and proof gallons of a package from its net weight, to a tenth (27 CFR 30.62, Table 2). */
export function recordGallonsByWeight(netPounds: number, proof: number): RecordGallons {
  requireNotNegative('net weight', netPounds, 'lb');
  return {
    wineGallons: roundHalfUp(netPounds * wineGallonsPerPound(proof), 1),
    proofGallons: roundHalfUp(netPounds * proofGallonsPerPound(proof), 1),
  };
}

/** Proof gallons of a bulk lot from its net weight, to a hundredth (27 CFR 30.64, Table 4). */
export function recordBulkProofGallons(netPounds: number, proof: number): number {
  requireNotNegative('net weight', netPounds, 'lb');
  return roundHalfUp(netPounds * proofGallonsPerPound(proof), 2);
}

/**
 * Proof gallons of a package by adding the parts of its weight: hundreds, tens, units and a half of a pound,
 * each rounded to a tenth first (27 CFR 30.63, Table 3). Wine gallons follow from proof gallons.
 *
 * @param netPounds a multiple of half a pound
 * @param proof above 0, to 200
 * @throws OutOfRangeError
 */
export function recordGallonsByParts(netPounds: number, proof: number): RecordGallons {
  requireNotNegative('net weight', netPounds, 'lb');
  requireProof(proof);
  if (netPounds * 2 !== Math.round(netPounds * 2)) {
    throw new OutOfRangeError(
      'net weight',
      netPounds,
      { min: 0, max: Number.MAX_VALUE, unit: 'lb' },
      'Table 3 takes pounds and half pounds',
    );
  }
  if (proof === 0) throw new OutOfRangeError('proof', proof, { min: 1, max: 200, unit: 'proof' });
  let tenths = 0;
  for (
    let rest = netPounds, unit = 10 ** Math.floor(Math.log10(Math.max(1, netPounds)));
    rest > 0;
  ) {
    const part = unit < 1 ? rest : Math.floor(rest / unit) * unit;
    tenths += Math.round(10 * roundHalfUp(part * proofGallonsPerPound(proof), 1));
    rest -= part;
    unit /= 10;
  }
  const proofGallons = tenths / 10;
  return { proofGallons, wineGallons: roundHalfUp((proofGallons * 100) / proof, 1) };
}

/**
 * Pounds and ounces that a number of wine gallons weighs, the ounces rounded up, for small containers.
 *
 * @see 27 CFR 30.44(b)
 */
export function recordWeightOfGallons(
  wineGallons: number,
  proof: number,
): { pounds: number; ounces: number; poundsDecimal: number } {
  requireNotNegative('volume', wineGallons, 'wine gallons');
  const ounces = Math.ceil(wineGallons * poundsPerWineGallon(proof) * 16 - 1e-9);
  return {
    pounds: Math.floor(ounces / 16),
    ounces: ounces % 16,
    poundsDecimal: roundHalfUp(ounces / 16, 2),
  };
}

/** A weight to the nearest half pound, as packages above 10 wine gallons are weighed (27 CFR 30.43, 30.44(a)). */
export function nearestHalfPound(pounds: number): number {
  return roundBy({ step: 0.5, direction: 'nearest' }, pounds);
}

function requireReduction(fromProof: number, toProof: number): void {
  requireProof(fromProof, 'proof of the spirit');
  requireWithin(
    'target proof',
    toProof,
    { min: Number.MIN_VALUE, max: fromProof, unit: 'proof' },
    'water lowers a proof and never reaches 0',
  );
}

/**
 * Pounds of water that reduce a weight of spirit, to a hundredth: proof gallons over proof gallons per
 * pound at the target, less the weight.
 *
 * @see 27 CFR 30.64
 */
export function recordWaterByWeight(netPounds: number, fromProof: number, toProof: number): number {
  requireReduction(fromProof, toProof);
  const after = roundHalfUp(
    recordBulkProofGallons(netPounds, fromProof) / proofGallonsPerPound(toProof),
    2,
  );
  return roundHalfUp(Math.max(0, after - netPounds), 2);
}

/**
 * Wine gallons of water that reduce 100 wine gallons of spirit: alcohol given over alcohol wanted, times
 * the water wanted, less the water given. The regulation's example drops what is beyond two decimals.
 *
 * @see 27 CFR 30.66, Table 6
 */
export function recordWaterPer100Gallons(fromProof: number, toProof: number): number {
  requireReduction(fromProof, toProof);
  const given = recordComposition(fromProof);
  const wanted = recordComposition(toProof);
  const water =
    (given.alcoholVolumes / wanted.alcoholVolumes) * wanted.waterVolumes - given.waterVolumes;
  return roundBy({ step: 0.01, direction: 'down' }, Math.max(0, water));
}
