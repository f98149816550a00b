import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import {
  densityInAir,
  densityFromStrength,
  densityKgPerM3,
  liquidFromVolume,
  litresAtTemperature,
  litresPureAlcohol,
  OutOfRangeError,
  strengthFromHydrometer,
} from '@rundlet/alcoholometry';
import {
  capacityLitres,
  contentsByMeter,
  contentsByWeight,
  contentsFromDip,
  DEFAULT_READING_UNCERTAINTIES,
  gauge,
  type CaskGeometry,
  type GaugeReadings,
  type StrengthReading,
} from './index.ts';

const geometry: CaskGeometry = {
  figure: 'parabolic-spindle',
  bilgeDiameterMm: 640,
  headDiameterMm: 540,
  lengthMm: 860,
};
const hydrometer: StrengthReading = {
  kind: 'hydrometer',
  readingPercentVol: 61.2,
  temperatureC: 13.5,
};

describe('contents by weight', () => {
  it('litres → weight in air → litres, 1e-9', () => {
    fc.assert(
      fc.property(
        fc.double({ min: 0.1, max: 1000, noNaN: true }),
        fc.double({ min: 0, max: 100, noNaN: true }),
        fc.double({ min: -20, max: 40, noNaN: true }),
        fc.double({ min: 0.9, max: 1.3, noNaN: true }),
        (litres, strengthPercentVol, temperatureC, airDensityKgPerM3) => {
          const { ethanolKg, waterKg } = liquidFromVolume(litres, strengthPercentVol);
          const density = densityFromStrength(strengthPercentVol, temperatureC);
          const share =
            densityInAir(density, { airDensityKgPerM3, weightsDensityKgPerM3: 8000 }) / density;
          const back = contentsByWeight({
            grossKg: 60 + (ethanolKg + waterKg) * share,
            tareKg: 60,
            strengthPercentVol,
            temperatureC,
            airDensityKgPerM3,
          });
          expect(Math.abs(back - litres)).toBeLessThan(1e-9 * Math.max(100, litres));
        },
      ),
    );
  });

  it('of an empty cask are nothing, and a tare above the gross weight is refused', () => {
    const empty = { grossKg: 58, tareKg: 58, strengthPercentVol: 60, temperatureC: 12 };
    expect(contentsByWeight(empty)).toBe(0);
    expect(() => contentsByWeight({ ...empty, tareKg: 59 })).toThrow(
      'tare 59 is outside 0 to 58 kg',
    );
    expect(() => contentsByWeight({ ...empty, grossKg: NaN })).toThrow(OutOfRangeError);
  });

  it('are a thousandth more than mass over density, for the air', () => {
    const litres = contentsByWeight({
      grossKg: 998.2,
      tareKg: 0,
      strengthPercentVol: 0,
      temperatureC: 20,
    });
    // OIML D 28: a litre of water at 20 °C weighs 0.99715 kg in air of 1.2 kg/m³.
    expect(litres).toBeCloseTo(998.2 / 0.99715, 2);
  });
});

describe('contents by meter', () => {
  it('undo the expansion and take the factor of the meter', () => {
    const litres = litresAtTemperature(200, 31, 58);
    expect(contentsByMeter({ litres, temperatureC: 31, strengthPercentVol: 58 })).toBeCloseTo(
      200,
      10,
    );
    const metered = contentsByMeter({
      litres,
      temperatureC: 31,
      strengthPercentVol: 58,
      meterFactor: 1.002,
    });
    expect(metered).toBeCloseTo(200.4, 10);
    expect(() =>
      contentsByMeter({ litres, temperatureC: 31, strengthPercentVol: 58, meterFactor: 2 }),
    ).toThrow(/meter factor 2 is outside 0.9 to 1.1/);
  });
});

describe('one gauging', () => {
  const readings: GaugeReadings[] = [
    {
      method: 'dip',
      orientation: 'lying',
      wetDipMm: 520,
      liquidTemperatureC: 13,
      strength: hydrometer,
    },
    {
      method: 'ullage',
      orientation: 'standing',
      dryDipMm: 120,
      liquidTemperatureC: 13,
      strength: hydrometer,
    },
    { method: 'weight', grossKg: 260, tareKg: 58, liquidTemperatureC: 13, strength: hydrometer },
    {
      method: 'meter',
      litres: 220,
      liquidTemperatureC: 13,
      strength: { kind: 'laboratory', strengthPercentVol: 63.2 },
    },
    {
      method: 'weight',
      grossKg: 260,
      tareKg: 58,
      liquidTemperatureC: 13,
      strength: { kind: 'densitometer', densityKgPerM3: 903.2, temperatureC: 18.2 },
    },
    { method: 'declared', bulkLitresAt20C: 220, strengthPercentVol: 63.2 },
  ];

  it.each(readings)(
    'by $method gives litres, strength and pure alcohol that belong together',
    (reading) => {
      const gauged = gauge(reading, { geometry });
      expect(gauged.method).toBe(reading.method);
      expect(gauged.litresPureAlcohol).toBe(
        litresPureAlcohol(gauged.bulkLitresAt20C, gauged.strengthPercentVol),
      );
      expect(gauged.bulkLitresAt20C).toBeGreaterThan(190);
      expect(gauged.bulkLitresAt20C).toBeLessThan(240);
      for (const u of Object.values(gauged.uncertainties)) expect(u).toBeGreaterThan(0);
    },
  );

  it('reads the strength by the hydrometer and the litres by the dip, brought to 20 °C', () => {
    const { bulkLitresAt20C, strengthPercentVol } = gauge(
      {
        method: 'dip',
        orientation: 'lying',
        wetDipMm: 520,
        liquidTemperatureC: 13,
        strength: hydrometer,
      },
      { geometry },
    );
    expect(strengthPercentVol).toBe(
      strengthFromHydrometer({ readingPercentVol: 61.2, temperatureC: 13.5 }),
    );
    const asDipped = contentsFromDip({ geometry, orientation: 'lying', wetDipMm: 520 });
    expect(litresAtTemperature(bulkLitresAt20C, 13, strengthPercentVol)).toBeCloseTo(asDipped, 9);
  });

  it('takes a dip as a share of a measured capacity, and is surer of it', () => {
    const reading: GaugeReadings = {
      method: 'dip',
      orientation: 'lying',
      wetDipMm: 640,
      liquidTemperatureC: 20,
      strength: { kind: 'laboratory', strengthPercentVol: 60 },
    };
    const measured = gauge(reading, { geometry, capacityLitres: 251 });
    expect(measured.bulkLitresAt20C).toBeCloseTo(251, 10);
    const assumed = gauge(reading, { geometry, capacityLitres: null });
    expect(assumed.bulkLitresAt20C).toBeCloseTo(capacityLitres(geometry), 10);
    expect(measured.uncertainties.litres).toBeLessThan(assumed.uncertainties.litres);
  });

  it('takes a document at its word, and at its uncertainty', () => {
    const gauged = gauge({
      method: 'declared',
      bulkLitresAt20C: 200,
      strengthPercentVol: 63.5,
      uncertaintyLitres: 0.5,
      uncertaintyPercentVol: 0.05,
    });
    expect(gauged).toMatchObject({
      bulkLitresAt20C: 200,
      strengthPercentVol: 63.5,
      litresPureAlcohol: 127,
    });
    expect(gauged.uncertainties.litres).toBeCloseTo(0.5, 9);
    expect(gauged.uncertainties.percentVol).toBeCloseTo(0.05, 9);
    expect(gauged.uncertainties.litresPureAlcohol).toBeCloseTo(
      Math.hypot(0.5 * 0.635, 200 * 0.0005),
      8,
    );
    const silent = gauge({ method: 'declared', bulkLitresAt20C: 200, strengthPercentVol: 63.5 });
    expect(silent.uncertainties.litres).toBeCloseTo(
      200 * DEFAULT_READING_UNCERTAINTIES.declaredLitresRelative,
      9,
    );
  });

  it('takes a densitometer in water or ethanol that reads a little beyond as pure', () => {
    const at = (densityKgPerM3: number) =>
      gauge({
        method: 'meter',
        litres: 10,
        liquidTemperatureC: 20,
        strength: { kind: 'densitometer', densityKgPerM3, temperatureC: 20 },
      });
    const water = at(densityKgPerM3(0, 20) + 0.08);
    expect(water.strengthPercentVol).toBe(0);
    expect(water.uncertainties.percentVol).toBeGreaterThan(0.02);
    expect(at(densityKgPerM3(1, 20) - 0.08).strengthPercentVol).toBe(100);
    expect(() => at(densityKgPerM3(0, 20) + 0.2)).toThrow(OutOfRangeError);
  });

  it('asks for the geometry a dip needs', () => {
    expect(() =>
      gauge({
        method: 'dip',
        orientation: 'lying',
        wetDipMm: 10,
        liquidTemperatureC: 20,
        strength: hydrometer,
      }),
    ).toThrow(/needs the geometry/);
  });

  it('never lets a wrong reading through as a number', () => {
    for (const reading of readings) {
      for (const key of [
        'wetDipMm',
        'dryDipMm',
        'grossKg',
        'litres',
        'liquidTemperatureC',
        'bulkLitresAt20C',
      ]) {
        if (!(key in reading)) continue;
        const wrong = { ...reading, [key]: NaN };
        expect(() => gauge(wrong, { geometry })).toThrow(RangeError);
      }
    }
  });
});

describe('the uncertainty of a gauging', () => {
  /** Normal deviates from a small generator with a fixed seed, so that a failure can be looked at again. */
  function normals(seed: number): () => number {
    let state = seed >>> 0;
    const uniform = (): number => {
      state = (Math.imul(state, 1664525) + 1013904223) >>> 0;
      return (state + 0.5) / 2 ** 32;
    };
    return () => Math.sqrt(-2 * Math.log(uniform())) * Math.cos(2 * Math.PI * uniform());
  }

  type Drawn = { litres: number; percentVol: number; lpa: number };
  const u = DEFAULT_READING_UNCERTAINTIES;

  function spread(draws: readonly Drawn[]) {
    const mean = (f: (d: Drawn) => number) => draws.reduce((s, d) => s + f(d), 0) / draws.length;
    const [l, q, a] = [mean((d) => d.litres), mean((d) => d.percentVol), mean((d) => d.lpa)];
    return {
      litres: Math.sqrt(mean((d) => (d.litres - l) ** 2)),
      percentVol: Math.sqrt(mean((d) => (d.percentVol - q) ** 2)),
      litresPureAlcohol: Math.sqrt(mean((d) => (d.lpa - a) ** 2)),
      covariance: mean((d) => (d.litres - l) * (d.percentVol - q)),
    };
  }

  // A deviation from 10 000 drawings is itself good to 0.7 %; four times that is allowed.
  function agree(stated: ReturnType<typeof gauge>, drawn: ReturnType<typeof spread>): void {
    for (const key of ['litres', 'percentVol', 'litresPureAlcohol'] as const) {
      expect(Math.abs(stated.uncertainties[key] / drawn[key] - 1)).toBeLessThan(0.03);
    }
    const scale = drawn.litres * drawn.percentVol;
    expect(Math.abs(stated.covarianceLitresPercentVol - drawn.covariance) / scale).toBeLessThan(
      0.04,
    );
  }

  it('by weight agrees with drawn readings', () => {
    const normal = normals(7);
    const draws = Array.from({ length: 10_000 }, (): Drawn => {
      const percentVol = strengthFromHydrometer({
        readingPercentVol: 61.2 + u.hydrometerPercentVol * normal(),
        temperatureC: 13.5 + u.temperatureC * normal(),
      });
      const litres = contentsByWeight({
        grossKg: 260 + u.grossKg * normal(),
        tareKg: 58 + u.tareKg * normal(),
        temperatureC: 13 + u.temperatureC * normal(),
        airDensityKgPerM3: 1.2 + u.airDensityKgPerM3 * normal(),
        strengthPercentVol: percentVol,
      });
      return { litres, percentVol, lpa: litresPureAlcohol(litres, percentVol) };
    });
    const stated = gauge({
      method: 'weight',
      grossKg: 260,
      tareKg: 58,
      liquidTemperatureC: 13,
      strength: hydrometer,
    });
    agree(stated, spread(draws));
  });

  it('by dip agrees with drawn readings', () => {
    const normal = normals(11);
    const draws = Array.from({ length: 10_000 }, (): Drawn => {
      const percentVol = strengthFromHydrometer({
        readingPercentVol: 61.2 + u.hydrometerPercentVol * normal(),
        temperatureC: 13.5 + u.temperatureC * normal(),
      });
      const asDipped =
        contentsFromDip({ geometry, orientation: 'lying', wetDipMm: 480 + u.dipMm * normal() }) *
        (1 + u.capacityFromGeometryRelative * normal());
      const litres = contentsByMeter({
        litres: asDipped,
        temperatureC: 13 + u.temperatureC * normal(),
        strengthPercentVol: percentVol,
      });
      return { litres, percentVol, lpa: litresPureAlcohol(litres, percentVol) };
    });
    const stated = gauge(
      {
        method: 'dip',
        orientation: 'lying',
        wetDipMm: 480,
        liquidTemperatureC: 13,
        strength: hydrometer,
      },
      { geometry },
    );
    agree(stated, spread(draws));
  });

  it('falls with the uncertainties given for the readings', () => {
    const reading: GaugeReadings = {
      method: 'weight',
      grossKg: 260,
      tareKg: 58,
      liquidTemperatureC: 13,
      strength: hydrometer,
    };
    const sure = gauge(reading, {}, { ...u, tareKg: 0.2 });
    expect(sure.uncertainties.litres).toBeLessThan(0.5 * gauge(reading).uncertainties.litres);
  });
});
