import { describe, expect, it } from 'vitest';
import * as library from './index.ts';

const spirit = { bulkLitresAt20C: 100, strengthPercentVol: 60 };
const L = library;

/** Every public function of numbers with arguments it takes; each is tried with NaN in each place. */
const calls: [name: string, call: (...x: never[]) => unknown, ...x: number[]][] = [
  ['densityKgPerM3', L.densityKgPerM3, 0.5, 20],
  ['ipts68FromIts90', L.ipts68FromIts90, 20],
  ['strengthFromMassFraction', L.strengthFromMassFraction, 0.5],
  ['massFractionFromStrength', L.massFractionFromStrength, 50],
  ['massFractionFromDensity', L.massFractionFromDensity, 900, 20],
  ['strengthFromDensity', L.strengthFromDensity, 900, 20],
  ['densityFromStrength', L.densityFromStrength, 50, 20],
  ['strengthAtReference', L.strengthAtReference, 0.5, 15],
  ['massFractionFromStrengthAt', L.massFractionFromStrengthAt, 50, 15],
  ['waterPer100Volumes', L.waterPer100Volumes, 60, 40, 15],
  ['volumeFactorTo20C', L.volumeFactorTo20C, 15, 50],
  ['litresAt20C', L.litresAt20C, 100, 15, 50],
  ['litresAtTemperature', L.litresAtTemperature, 100, 15, 50],
  [
    'litresAt20C in a vessel',
    (e: number, t: number) => L.litresAt20C(1, 15, 50, { expansionPerC: e, referenceC: t }),
    36e-6,
    20,
  ],
  ['litresPureAlcohol', L.litresPureAlcohol, 100, 50],
  ['litresPureAlcoholFromEthanolKg', L.litresPureAlcoholFromEthanolKg, 10],
  ['ethanolKgFromLitresPureAlcohol', L.ethanolKgFromLitresPureAlcohol, 10],
  ['liquidFromVolume', L.liquidFromVolume, 100, 50],
  [
    'volumeOfLiquid',
    (e: number, w: number) => L.volumeOfLiquid({ ethanolKg: e, waterKg: w }),
    1,
    1,
  ],
  [
    'massFractionOfLiquid',
    (e: number, w: number) => L.massFractionOfLiquid({ ethanolKg: e, waterKg: w }),
    1,
    1,
  ],
  ['mix', (e: number, w: number) => L.mix({ ethanolKg: e, waterKg: w }), 1, 1],
  ['waterToReduce', (q: number) => L.waterToReduce(spirit, q), 40],
  ['spiritWithWater', (kg: number) => L.spiritWithWater(spirit, kg), 10],
  ['waterLitres', L.waterLitres, 10, 12],
  ['additionToReach', (q: number, t: number) => L.additionToReach(spirit, q, t), 70, 65],
  ['topUp', (q: number, v: number) => L.topUp(spirit, q, v), 70, 120],
  ['spiritAndWaterFor', (q: number) => L.spiritAndWaterFor(spirit, q), 70],
  ['densityInAir', L.densityInAir, 900],
  ['densityInVacuo', L.densityInVacuo, 900],
  ['massFromScaleKg', L.massFromScaleKg, 10, 900],
  ['densityFromGlassReading', L.densityFromGlassReading, 900, 15],
  ['glassReadingFromDensity', L.glassReadingFromDensity, 900, 15],
  ['hydrometerReadingPercentVol', L.hydrometerReadingPercentVol, 50, 15],
  ['roundHalfUp', L.roundHalfUp, 1.25, 1],
  [
    'dutyLitresPureAlcohol',
    (v: number, q: number) => L.dutyLitresPureAlcohol(v, q, L.DUTY_STRENGTH_ROUNDING.none),
    1,
    1,
  ],
  ['celsiusFromFahrenheit', L.celsiusFromFahrenheit, 60],
  ['fahrenheitFromCelsius', L.fahrenheitFromCelsius, 20],
  ['proofFromMassFraction', L.proofFromMassFraction, 0.5],
  ['massFractionFromProof', L.massFractionFromProof, 100],
  ['proofFromStrength', L.proofFromStrength, 50],
  ['strengthFromProof', L.strengthFromProof, 100],
  ['usSpiritFromVolume', L.usSpiritFromVolume, 100, 50],
  ['proofGallonsFromLitresPureAlcohol', L.proofGallonsFromLitresPureAlcohol, 100],
  ['volumeFromUsSpirit', L.volumeFromUsSpirit, 10, 100],
  ['proofFromHydrometer', L.proofFromHydrometer, 100, 70],
  ['hydrometerReadingFromProof', L.hydrometerReadingFromProof, 100, 70],
  ['volumeFactorTo60F', L.volumeFactorTo60F, 100, 70],
  ['proofMethodForSolids', L.proofMethodForSolids, 100],
  ['obscurationFromResidue', L.obscurationFromResidue, 0.1, 90],
  ['recordComposition', L.recordComposition, 100],
  ['recordProofFromSpecificGravity', L.recordProofFromSpecificGravity, 0.9],
  ['poundsPerWineGallon', L.poundsPerWineGallon, 100],
  ['poundsPerProofGallon', L.poundsPerProofGallon, 100],
  ['wineGallonsPerPound', L.wineGallonsPerPound, 100],
  ['proofGallonsPerPound', L.proofGallonsPerPound, 100],
  ['wineGallonsPerPoundHeavierThanWater', L.wineGallonsPerPoundHeavierThanWater, 1.1],
  ['recordVolumeFactor', L.recordVolumeFactor, 100, 70],
  ['recordGallonsByVolume', L.recordGallonsByVolume, 10, 100, 70],
  ['recordGallonsByWeight', L.recordGallonsByWeight, 300, 100],
  ['recordBulkProofGallons', L.recordBulkProofGallons, 300, 100],
  ['recordGallonsByParts', L.recordGallonsByParts, 300, 100],
  ['recordWeightOfGallons', L.recordWeightOfGallons, 5, 190],
  ['recordWaterByWeight', L.recordWaterByWeight, 300, 120, 100],
  ['recordWaterPer100Gallons', L.recordWaterPer100Gallons, 120, 100],
  ['nearestHalfPound', L.nearestHalfPound, 3],
];

describe('what is not a number', () => {
  it.each(calls)('is refused by %s in every place', (_, call, ...x) => {
    const run = call as (...x: number[]) => unknown;
    expect(() => run(...x)).not.toThrow();
    for (const i of x.keys()) {
      expect(() => run(...x.with(i, NaN)), `NaN in place ${i}`).toThrow(RangeError);
    }
  });

  it('is tried on every public function of numbers', () => {
    // Those that take other things than numbers are tried where they are tested.
    const others =
      /^(measured|stock|propagate|require|parse|interpolate|recordTrueProof|roundBy|mixSpirits|(densities|strengths|massFractions)[A-Z])/;
    const tried = new Set(calls.map(([name]) => name));
    const missed = Object.entries(library)
      .filter(([name, value]) => typeof value === 'function' && /^[a-z]/.test(name))
      .map(([name]) => name)
      .filter((name) => !tried.has(name) && !others.test(name));
    expect(missed).toEqual(['strengthFromHydrometer']);
  });
});
