import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import {
  densityFromGlassReading,
  densityFromStrength,
  densityInAir,
  densityInVacuo,
  densityKgPerM3,
  ethanolDensity20C,
  glassReadingFromDensity,
  hydrometerReadingPercentVol,
  massFractionFromDensity,
  massFractionFromStrength,
  massFractionFromStrengthAt,
  OutOfRangeError,
  strengthAtReference,
  strengthFromDensity,
  strengthFromHydrometer,
  strengthFromMassFraction,
  waterDensity20C,
} from './index.ts';

const massFraction = fc.double({ min: 0, max: 1, noNaN: true });
const strength = fc.double({ min: 0, max: 100, noNaN: true });
const temperature = fc.double({ min: -20, max: 40, noNaN: true });

const within = (a: number, b: number, tolerance: number): void => {
  expect(Math.abs(a - b)).toBeLessThanOrEqual(tolerance);
};

describe('round trips over the whole domain', () => {
  it('strength → density → strength, 1e-9 % vol', () => {
    fc.assert(
      fc.property(strength, temperature, (q, t) => {
        within(strengthFromDensity(densityFromStrength(q, t), t), q, 1e-9);
      }),
      { numRuns: 3000 },
    );
  });

  it('mass fraction → density → mass fraction, 1e-11', () => {
    fc.assert(
      fc.property(massFraction, temperature, (p, t) => {
        within(massFractionFromDensity(densityKgPerM3(p, t), t), p, 1e-11);
      }),
      { numRuns: 3000 },
    );
  });

  it('density → strength → density, 1e-9 kg/m³', () => {
    fc.assert(
      fc.property(massFraction, temperature, (share, t) => {
        const lightest = densityKgPerM3(1, t);
        const density = lightest + share * (densityKgPerM3(0, t) - lightest);
        within(densityFromStrength(strengthFromDensity(density, t), t), density, 1e-9);
      }),
      { numRuns: 3000 },
    );
  });

  it('strength → mass fraction → strength, at 20 °C and any other reference, 1e-10 % vol', () => {
    fc.assert(
      fc.property(strength, temperature, (q, t) => {
        within(strengthFromMassFraction(massFractionFromStrength(q)), q, 1e-10);
        within(strengthAtReference(massFractionFromStrengthAt(q, t), t), q, 1e-10);
      }),
      { numRuns: 3000 },
    );
  });

  it('strength → hydrometer reading → strength, wherever the scale reaches, 1e-9 % vol', () => {
    fc.assert(
      fc.property(
        strength,
        temperature,
        fc.double({ min: 0, max: 5, noNaN: true }),
        (q, t, hidden) => {
          fc.pre(hidden <= q);
          const apparentDensity = densityFromStrength(q - hidden, t);
          const onScale = glassReadingFromDensity(apparentDensity, t);
          fc.pre(onScale >= ethanolDensity20C && onScale <= waterDensity20C);
          const reading = hydrometerReadingPercentVol(q, t, undefined, hidden);
          const back = strengthFromHydrometer({
            readingPercentVol: reading,
            temperatureC: t,
            obscurationPercentVol: hidden,
          });
          within(back, q, 1e-9);
        },
      ),
      { numRuns: 3000 },
    );
  });

  it('density in vacuo → in air → in vacuo, and through the glass, 1e-10 kg/m³', () => {
    fc.assert(
      fc.property(massFraction, temperature, (p, t) => {
        const density = densityKgPerM3(p, t);
        within(densityInVacuo(densityInAir(density)), density, 1e-10);
        within(densityFromGlassReading(glassReadingFromDensity(density, t), t), density, 1e-10);
      }),
    );
  });
});

describe('edges', () => {
  it('are exact: pure water and pure ethanol at the ends of the temperature range', () => {
    for (const t of [-20, 0, 20, 40]) {
      expect(strengthFromDensity(densityKgPerM3(0, t), t)).toBe(0);
      expect(strengthFromDensity(densityKgPerM3(1, t), t)).toBe(100);
    }
    expect(strengthFromMassFraction(0)).toBe(0);
    expect(strengthFromMassFraction(1)).toBe(100);
    expect(massFractionFromStrength(0)).toBe(0);
    expect(massFractionFromStrength(100)).toBe(1);
    expect(densityKgPerM3(0, 20)).toBe(998.20123);
    expect(strengthFromHydrometer({ readingPercentVol: 0, temperatureC: 20 })).toBe(0);
    expect(strengthFromHydrometer({ readingPercentVol: 100, temperatureC: 20 })).toBe(100);
  });

  it('take a reading beyond pure water as water only within the tolerance given', () => {
    expect(() => strengthFromDensity(998.21, 20)).toThrow(OutOfRangeError);
    expect(strengthFromDensity(998.21, 20, 0.05)).toBe(0);
    expect(strengthFromDensity(789.2, 20, 0.05)).toBe(100);
  });
});

describe('refusals', () => {
  it('name the quantity, the value, the range and the unit', () => {
    expect(() => densityKgPerM3(0.5, 40.1)).toThrow('temperature 40.1 is outside -20 to 40 °C');
    expect(() => densityKgPerM3(-0.1, 20)).toThrow(
      'mass fraction of ethanol -0.1 is outside 0 to 1 kg/kg',
    );
    expect(() => massFractionFromStrength(100.5)).toThrow(
      'strength 100.5 is outside 0 to 100 % vol',
    );
    const refusal = (() => {
      try {
        strengthFromDensity(1010, 20);
      } catch (error) {
        return error;
      }
      return undefined;
    })();
    expect(refusal).toBeInstanceOf(RangeError);
    expect(refusal).toMatchObject({ value: 1010, max: 998.20123, unit: 'kg/m³' });
  });

  it('catch what is not a number before it can spread', () => {
    for (const call of [
      () => densityKgPerM3(NaN, 20),
      () => densityKgPerM3(0.5, NaN),
      () => strengthFromDensity(NaN, 20),
      () => strengthFromDensity(900, NaN),
      () => massFractionFromStrength(NaN),
      () => strengthFromMassFraction(Infinity),
      () => strengthFromHydrometer({ readingPercentVol: NaN, temperatureC: 20 }),
      () =>
        strengthFromHydrometer({
          readingPercentVol: 40,
          temperatureC: 20,
          obscurationPercentVol: NaN,
        }),
      () => strengthFromHydrometer({ readingDensityKgPerM3: NaN, temperatureC: 20 }),
      () => densityInAir(NaN),
      () => densityInAir(998, { airDensityKgPerM3: NaN, weightsDensityKgPerM3: 8000 }),
    ]) {
      expect(call).toThrow(RangeError);
    }
  });

  it('refuse an obscuration that hides nothing or too much', () => {
    const reading = { readingPercentVol: 99, temperatureC: 20 };
    expect(() => strengthFromHydrometer({ ...reading, obscurationPercentVol: -1 })).toThrow(/hide/);
    expect(() => strengthFromHydrometer({ ...reading, obscurationPercentVol: 2 })).toThrow(/hide/);
  });
});

describe('a hydrometer of glass', () => {
  it('needs no correction at the temperature of its scale', () => {
    expect(strengthFromHydrometer({ readingPercentVol: 63.5, temperatureC: 20 })).toBeCloseTo(
      63.5,
      10,
    );
  });

  it('reads higher in warm spirit, and the correction takes about a third of a percent per degree off', () => {
    const warm = strengthFromHydrometer({ readingPercentVol: 60, temperatureC: 25 });
    expect(60 - warm).toBeGreaterThan(1.5);
    expect(60 - warm).toBeLessThan(2.1);
  });

  it('takes a scale of density or of % mass as it takes one of strength', () => {
    const byDensity = strengthFromHydrometer({
      readingDensityKgPerM3: densityFromStrength(55, 20),
      temperatureC: 12,
    });
    const byMass = strengthFromHydrometer({
      readingPercentMass: 100 * massFractionFromStrength(55),
      temperatureC: 12,
    });
    expect(byMass).toBeCloseTo(byDensity, 9);
    expect(byDensity).toBeCloseTo(
      strengthFromHydrometer({ readingPercentVol: 55, temperatureC: 12 }),
      9,
    );
  });
});
