import { describe, expect, it } from 'vitest';
import {
  densityKgPerM3,
  litresAt20C,
  litresPureAlcohol,
  measuredDensity,
  measuredDensityFromStrength,
  measuredDensityInAir,
  measuredLitresAt20C,
  measuredLitresAtTemperature,
  measuredLitresPureAlcohol,
  measuredMassFraction,
  measuredMixture,
  measuredStrength,
  measuredStrengthFromDensity,
  measuredStrengthFromDensityInAir,
  measuredStrengthFromHydrometer,
  measuredWaterToReduce,
  mixSpirits,
  propagate,
  strengthFromDensity,
  strengthFromHydrometer,
  waterToReduce,
  type Measured,
} from './index.ts';

/** Normal deviates from a small generator with a fixed seed, so that a failure can be looked at again. */
function normals(seed: number): () => number {
  let state = seed >>> 0;
  const uniform = (): number => {
    state = (Math.imul(state, 1664525) + 1013904223) >>> 0;
    return (state + 0.5) / 2 ** 32;
  };
  return () => Math.sqrt(-2 * Math.log(uniform())) * Math.cos(2 * Math.PI * uniform());
}

/** Standard deviation of a model over 20 000 drawings of its inputs. */
function monteCarlo(inputs: readonly Measured[], model: (...x: number[]) => number): number {
  const normal = normals(20260726);
  const draws = Array.from({ length: 20_000 }, () =>
    model(...inputs.map(({ value, u }) => value + u * normal())),
  );
  const mean = draws.reduce((sum, x) => sum + x, 0) / draws.length;
  return Math.sqrt(draws.reduce((sum, x) => sum + (x - mean) ** 2, 0) / (draws.length - 1));
}

// A deviation from 20 000 drawings is itself good to 0.5 %; four times that is allowed.
const agree = (u: number, drawn: number): void => {
  expect(Math.abs(u / drawn - 1)).toBeLessThan(0.02);
};

const strength = { value: 62.4, u: 0.12 };
const temperature = { value: 13.5, u: 0.3 };
const litres = { value: 214, u: 1.6 };

describe('first-order uncertainty agrees with drawn readings', () => {
  it('of a density', () => {
    const massFraction = { value: 0.54, u: 0.001 };
    const { value, u } = measuredDensity(massFraction, temperature);
    expect(value).toBe(densityKgPerM3(0.54, 13.5));
    agree(u, monteCarlo([massFraction, temperature], densityKgPerM3));
  });

  it('of a strength from a density', () => {
    const density = { value: 905.3, u: 0.05 };
    const { u } = measuredStrengthFromDensity(density, temperature);
    agree(
      u,
      monteCarlo([density, temperature], (rho = 0, t = 0) => strengthFromDensity(rho, t)),
    );
  });

  it('of a strength from a hydrometer with obscuration', () => {
    const obscuration = { value: 0.4, u: 0.1 };
    const { u } = measuredStrengthFromHydrometer(strength, temperature, obscuration);
    agree(
      u,
      monteCarlo([strength, temperature, obscuration], (q = 0, t = 0, o = 0) =>
        strengthFromHydrometer({ readingPercentVol: q, temperatureC: t, obscurationPercentVol: o }),
      ),
    );
  });

  it('of litres at 20 °C', () => {
    const { u } = measuredLitresAt20C(litres, temperature, strength);
    agree(
      u,
      monteCarlo([litres, temperature, strength], (v = 0, t = 0, q = 0) => litresAt20C(v, t, q)),
    );
  });

  it('of water to reduce and of the litres it makes', () => {
    const { waterKg, resultLitresAt20C } = measuredWaterToReduce(litres, strength, 46);
    const reduce = (v = 0, q = 0) =>
      waterToReduce({ bulkLitresAt20C: v, strengthPercentVol: q }, 46);
    agree(
      waterKg.u,
      monteCarlo([litres, strength], (v, q) => reduce(v, q).waterKg),
    );
    agree(
      resultLitresAt20C.u,
      monteCarlo([litres, strength], (v, q) => reduce(v, q).resultLitresAt20C),
    );
  });

  it('of a mixture', () => {
    const second = {
      bulkLitresAt20C: { value: 180, u: 2 },
      strengthPercentVol: { value: 55, u: 0.2 },
    };
    const mixture = measuredMixture(
      { bulkLitresAt20C: litres, strengthPercentVol: strength },
      second,
    );
    const mixed = ([v1 = 0, q1 = 0, v2 = 0, q2 = 0]: number[]) =>
      mixSpirits(
        { bulkLitresAt20C: v1, strengthPercentVol: q1 },
        { bulkLitresAt20C: v2, strengthPercentVol: q2 },
      );
    const inputs = [litres, strength, second.bulkLitresAt20C, second.strengthPercentVol];
    agree(
      mixture.strengthPercentVol.u,
      monteCarlo(inputs, (...x) => mixed(x).strengthPercentVol),
    );
    agree(
      mixture.litresPureAlcohol.u,
      monteCarlo(inputs, (...x) => mixed(x).litresPureAlcohol),
    );
  });
});

describe('sensitivities', () => {
  it('are those of a product: u(LPA)/LPA squares add, and a correlation counts twice', () => {
    const { value, u } = measuredLitresPureAlcohol(litres, strength);
    expect(value).toBe(litresPureAlcohol(214, 62.4));
    expect(u / value).toBeCloseTo(Math.hypot(1.6 / 214, 0.12 / 62.4), 9);
    const together = measuredLitresPureAlcohol(litres, strength, 1);
    expect(together.u / value).toBeCloseTo(1.6 / 214 + 0.12 / 62.4, 9);
    const against = measuredLitresPureAlcohol(litres, strength, -1);
    expect(against.u / value).toBeCloseTo(1.6 / 214 - 0.12 / 62.4, 9);
  });

  it('undo one another in an inverse', () => {
    const density = measuredDensityFromStrength(strength, { value: 20, u: 0 });
    expect(measuredStrengthFromDensity(density, { value: 20, u: 0 }).u).toBeCloseTo(0.12, 8);
    const inAir = measuredDensityInAir(density, { value: 1.2, u: 0 });
    expect(
      measuredStrengthFromDensityInAir(inAir, { value: 20, u: 0 }, { value: 1.2, u: 0 }).u,
    ).toBeCloseTo(0.12, 8);
    expect(measuredStrength(measuredMassFraction(strength)).u).toBeCloseTo(0.12, 8);
    const exact = { value: 13.5, u: 0 };
    const cold = measuredLitresAtTemperature(litres, exact, { value: 62.4, u: 0 });
    expect(measuredLitresAt20C(cold, exact, { value: 62.4, u: 0 }).u).toBeCloseTo(1.6, 8);
  });

  it('are taken on the inside at the edge of the domain', () => {
    const pure = measuredStrengthFromDensity(
      { value: densityKgPerM3(0, 20), u: 0.05 },
      { value: 20, u: 0 },
    );
    expect(pure.value).toBe(0);
    expect(pure.u).toBeGreaterThan(0.03);
    expect(pure.u).toBeLessThan(0.04);
  });

  it('carry the covariance of two results of the same readings', () => {
    const { u, covariance } = propagate([litres, strength], ([v = 0, q = 0]) => [
      v,
      litresPureAlcohol(v, q),
    ]);
    expect(covariance[0]?.[1]).toBeCloseTo((1.6 ** 2 * 62.4) / 100, 8);
    expect(covariance[0]?.[1]).toBe(covariance[1]?.[0]);
    expect(u[0]).toBeCloseTo(1.6, 9);
  });

  it('refuse a negative uncertainty and pass on a refusal of the value itself', () => {
    expect(() => measuredMassFraction({ value: 40, u: -1 })).toThrow(/standard uncertainty/);
    expect(() => measuredMassFraction({ value: 101, u: 1 })).toThrow(/outside 0 to 100/);
    expect(() => measuredMassFraction({ value: 40, u: NaN })).toThrow(RangeError);
  });
});
