import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import {
  densitiesKgPerM3,
  densityKgPerM3,
  liquidFromVolume,
  litresAt20C,
  massFractionFromDensity,
  massFractionFromStrength,
  massFractionsFromDensities,
  massFractionsFromStrengths,
  stockLitresAt20C,
  stockMasses,
  stockVolumes,
  strengthFromDensity,
  strengthFromHydrometer,
  strengthFromMassFraction,
  strengthsFromDensities,
  strengthsFromHydrometer,
  strengthsFromMassFractions,
  volumeOfLiquid,
} from './index.ts';

const stock = fc.array(
  fc.record({
    litres: fc.double({ min: 0, max: 700, noNaN: true }),
    strength: fc.double({ min: 20, max: 95, noNaN: true }),
    temperature: fc.double({ min: 5, max: 40, noNaN: true }),
  }),
  { maxLength: 40 },
);

describe('a whole stock at once', () => {
  it('gives bit for bit what each cask gives alone', () => {
    fc.assert(
      fc.property(stock, (casks) => {
        const litres = Float64Array.from(casks, (cask) => cask.litres);
        const strengths = Float64Array.from(casks, (cask) => cask.strength);
        const temperatures = Float64Array.from(casks, (cask) => cask.temperature);
        const p = massFractionsFromStrengths(strengths);
        expect([...p]).toEqual(casks.map((cask) => massFractionFromStrength(cask.strength)));
        expect([...strengthsFromMassFractions(p)]).toEqual([...p].map(strengthFromMassFraction));
        const densities = densitiesKgPerM3(p, temperatures);
        expect([...densities]).toEqual(
          casks.map((cask) =>
            densityKgPerM3(massFractionFromStrength(cask.strength), cask.temperature),
          ),
        );
        expect([...massFractionsFromDensities(densities, temperatures)]).toEqual(
          casks.map((cask, i) => massFractionFromDensity(densities[i] ?? NaN, cask.temperature)),
        );
        expect([...strengthsFromDensities(densities, temperatures)]).toEqual(
          casks.map((cask, i) => strengthFromDensity(densities[i] ?? NaN, cask.temperature)),
        );
        expect([...strengthsFromHydrometer(strengths, temperatures)]).toEqual(
          casks.map((cask) =>
            strengthFromHydrometer({
              readingPercentVol: cask.strength,
              temperatureC: cask.temperature,
            }),
          ),
        );
        expect([...stockLitresAt20C(litres, temperatures, strengths)]).toEqual(
          casks.map((cask) => litresAt20C(cask.litres, cask.temperature, cask.strength)),
        );
        const masses = stockMasses(litres, strengths);
        expect(
          casks.map((_, i) => ({ ethanolKg: masses.ethanolKg[i], waterKg: masses.waterKg[i] })),
        ).toEqual(casks.map((cask) => liquidFromVolume(cask.litres, cask.strength)));
        const volumes = stockVolumes(masses);
        expect(
          casks.map((_, i) => ({
            bulkLitresAt20C: volumes.bulkLitresAt20C[i],
            strengthPercentVol: volumes.strengthPercentVol[i],
            litresPureAlcohol: volumes.litresPureAlcohol[i],
          })),
        ).toEqual(
          casks.map((cask) => volumeOfLiquid(liquidFromVolume(cask.litres, cask.strength))),
        );
      }),
    );
  });

  it('takes one temperature for all and writes where it is told', () => {
    const p = Float64Array.of(0, 0.25, 0.5, 1);
    const out = new Float64Array(4);
    expect(densitiesKgPerM3(p, 12, out)).toBe(out);
    expect([...out]).toEqual([...p].map((x) => densityKgPerM3(x, 12)));
  });

  it('names the element it refuses', () => {
    expect(() => densitiesKgPerM3(Float64Array.of(0.1, 1.2), 20)).toThrow(
      'mass fraction of ethanol [1] 1.2 is outside 0 to 1 kg/kg',
    );
    expect(() => densitiesKgPerM3(Float64Array.of(0.1), Float64Array.of(NaN))).toThrow(
      'temperature [0]',
    );
    expect(() => densitiesKgPerM3(Float64Array.of(0.1), Float64Array.of(1, 2))).toThrow(RangeError);
    expect(() => strengthsFromDensities(Float64Array.of(1200), 20)).toThrow(
      'density at 20 °C 1200',
    );
    expect(() => massFractionsFromStrengths(Float64Array.of(NaN))).toThrow('strength [0] NaN');
    expect(() =>
      stockVolumes({ ethanolKg: Float64Array.of(-1), waterKg: Float64Array.of(1) }),
    ).toThrow('ethanol [0]');
  });
});
