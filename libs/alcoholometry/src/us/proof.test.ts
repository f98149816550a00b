import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import {
  celsiusFromFahrenheit,
  fahrenheitFromCelsius,
  hydrometerReadingFromProof,
  massFractionFromProof,
  OutOfRangeError,
  parseGridTable,
  proofFromHydrometer,
  proofFromMassFraction,
  proofFromStrength,
  recordGallonsByParts,
  recordProofFromSpecificGravity,
  recordComposition,
  recordTrueProof,
  recordWaterByWeight,
  recordWaterPer100Gallons,
  strengthFromProof,
  TableFormatError,
  usSpiritFromVolume,
  volumeFromUsSpirit,
  poundsPerProofGallon,
  nearestHalfPound,
} from '../index.ts';

const proof = fc.double({ min: 0, max: 200, noNaN: true });

const within = (a: number, b: number, tolerance: number): void => {
  expect(Math.abs(a - b)).toBeLessThanOrEqual(tolerance);
};

describe('proof', () => {
  it('round trips to strength, mass fraction, gallons and hydrometer readings, 1e-9', () => {
    fc.assert(
      fc.property(proof, fc.double({ min: 0.01, max: 5000, noNaN: true }), (degrees, gallons) => {
        within(proofFromStrength(strengthFromProof(degrees)), degrees, 1e-9);
        within(proofFromMassFraction(massFractionFromProof(degrees)), degrees, 1e-9);
        const litres = volumeFromUsSpirit(gallons, degrees);
        const back = usSpiritFromVolume(litres.bulkLitresAt20C, litres.strengthPercentVol);
        within(back.wineGallonsAt60F, gallons, 1e-9 * Math.max(1, gallons));
        within(back.proofGallons, (gallons * degrees) / 100, 1e-9 * Math.max(1, gallons));
      }),
    );
    fc.assert(
      fc.property(
        fc.double({ min: 60, max: 180, noNaN: true }),
        fc.double({ min: 20, max: 100, noNaN: true }),
        (degrees, temperatureF) => {
          const reading = hydrometerReadingFromProof(degrees, temperatureF);
          within(proofFromHydrometer(reading, temperatureF), degrees, 1e-9);
        },
      ),
    );
  });

  it('is exact at water and at absolute alcohol', () => {
    expect(proofFromMassFraction(0)).toBe(0);
    expect(proofFromMassFraction(1)).toBe(200);
    expect(massFractionFromProof(0)).toBe(0);
    expect(massFractionFromProof(200)).toBe(1);
  });

  it('reads the specific gravity of Table 6 backwards between its rows', () => {
    fc.assert(
      fc.property(proof, (degrees) => {
        const { specificGravityInAir } = recordComposition(degrees);
        within(recordProofFromSpecificGravity(specificGravityInAir), degrees, 1e-9);
      }),
    );
  });

  it('is on another scale of temperature', () => {
    expect(celsiusFromFahrenheit(60)).toBeCloseTo(15.5556, 4);
    expect(fahrenheitFromCelsius(celsiusFromFahrenheit(72.1))).toBeCloseTo(72.1, 12);
  });

  it('is refused beyond 0 to 200, and water has no pounds per proof gallon', () => {
    expect(() => strengthFromProof(200.1)).toThrow('proof 200.1 is outside 0 to 200 proof');
    expect(() => strengthFromProof(NaN)).toThrow(OutOfRangeError);
    expect(() => recordComposition(NaN)).toThrow(OutOfRangeError);
    expect(() => poundsPerProofGallon(0)).toThrow(/no proof gallons/);
    expect(() => recordWaterPer100Gallons(100, 101)).toThrow(OutOfRangeError);
    expect(() => recordWaterByWeight(100, 100, 0)).toThrow(OutOfRangeError);
  });
});

describe('packages', () => {
  it('are weighed in half pounds', () => {
    expect(nearestHalfPound(321.74)).toBe(321.5);
    expect(() => recordGallonsByParts(321.3, 86)).toThrow(/half pounds/);
  });
});

describe('a loaded table', () => {
  const text = '# a remark\nreading,70,71\n100,95.8,95.4\n\n101,96.8,\n';

  it('is read with its empty cells', () => {
    expect(parseGridTable(text)).toEqual({
      columns: [70, 71],
      rows: [100, 101],
      cells: [
        [95.8, 95.4],
        [96.8, null],
      ],
    });
  });

  it('is interpolated by the two differences, which need three cells only', () => {
    expect(recordTrueProof(parseGridTable(text), 100.5, 70.5)).toBe(96.1);
    expect(recordTrueProof(parseGridTable(text), 101, 70)).toBe(96.8);
  });

  it('refuses readings beyond it and at empty cells', () => {
    expect(() => recordTrueProof(parseGridTable(text), 99, 70)).toThrow(
      'hydrometer reading 99 is outside 100 to 101 proof: the table ends there',
    );
    expect(() => recordTrueProof(parseGridTable(text), 101, 71)).toThrow(/no cell there/);
    expect(() => recordTrueProof(parseGridTable(text), 100, NaN)).toThrow(OutOfRangeError);
  });

  it.each([
    ['', /no column values/],
    ['reading,70,71', /no rows/],
    ['reading,71,70\n100,1,2', /line 1 .*axes must rise/],
    ['reading,70\n100,1,2', /line 2 .*2 cells, but 1 columns/],
    ['reading,70\n100,x', /line 2 .*"x" is not a number/],
  ])('in a wrong form is refused by line: %j', (wrong, message) => {
    expect(() => parseGridTable(wrong)).toThrow(TableFormatError);
    expect(() => parseGridTable(wrong)).toThrow(message);
  });
});
