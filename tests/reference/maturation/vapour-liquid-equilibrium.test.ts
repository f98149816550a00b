import { massFractionFromStrength } from '@rundlet/alcoholometry';
import {
  activities,
  ethanolSaturationPa,
  moleFractionFromMassFraction,
  waterBalanceHumidityPercent,
  waterSaturationPa,
} from '@rundlet/maturation';
import { describe, expect, test } from 'vitest';
import dobson from './dobson-partial-pressures-25c.json' with { type: 'json' };
import ethanol from './ethanol-saturation.json' with { type: 'json' };
import iapws from './iapws-sr1-86.json' with { type: 'json' };
import kurihara from './kurihara-1995-pxy-50c.json' with { type: 'json' };
import wichterle from './wichterle-2007-px-30c.json' with { type: 'json' };

const KPA = 1000;
const TORR = 133.322;

const totalPa = (x: number, celsius: number): number => {
  const a = activities(x, celsius);
  return a.ethanol * ethanolSaturationPa(celsius) + a.water * waterSaturationPa(celsius);
};
const mean = (values: number[]): number => values.reduce((a, b) => a + b, 0) / values.length;

describe('pure components', () => {
  test.each(Object.entries(iapws.checkPa).filter(([k]) => Number(k) < 333))(
    'water at %s K: IAPWS SR1-86(1992)',
    (kelvin, pa) => {
      expect(waterSaturationPa(Number(kelvin) - 273.15) / pa).toBeCloseTo(1, 3);
    },
  );

  test.each(
    Object.entries(ethanol.checkPa)
      .filter(([k]) => Number(k) < 333)
      .flatMap(([k, v]) => (Array.isArray(v) ? v : [v]).map((pa) => [k, pa] as const)),
  )('ethanol at %s K within 0.5 % of %d Pa (measured)', (kelvin, pa) => {
    expect(Math.abs(ethanolSaturationPa(Number(kelvin) - 273.15) / pa - 1)).toBeLessThan(0.005);
  });
});

describe('mixtures', () => {
  test('total pressure at 30 °C within 1 % mean: Wichterle et al., Springer 2007', () => {
    const errors = wichterle.rows.map(([x, p]) => Math.abs(totalPa(x!, 30) / KPA / p! - 1));
    expect(mean(errors)).toBeLessThan(0.01);
  });

  test('total pressure and vapour at 50 °C: Kurihara et al., J. Chem. Eng. Data 40 (1995) 679', () => {
    const pressures = kurihara.rows.map(([p, x]) => Math.abs(totalPa(x!, 50) / KPA / p! - 1));
    expect(mean(pressures)).toBeLessThan(0.01);
    const vapours = kurihara.rows.map(([, x, y]) => {
      const partial = activities(x!, 50).ethanol * ethanolSaturationPa(50);
      return Math.abs(partial / totalPa(x!, 50) - y!);
    });
    expect(mean(vapours)).toBeLessThan(0.01);
  });

  test('partial pressures at 25 °C within 5 % mean (Dobson-type table)', () => {
    const errors = dobson.rows.flatMap(([x, e, w]) => {
      const a = activities(x!, 25);
      return [
        ...(e ? [Math.abs((a.ethanol * ethanolSaturationPa(25)) / TORR / e - 1)] : []),
        ...(w ? [Math.abs((a.water * waterSaturationPa(25)) / TORR / w - 1)] : []),
      ];
    });
    expect(mean(errors)).toBeLessThan(0.05);
  });

  test("azeotrope at 101 325 Pa: x = 0.894 at 78.15 °C (Perry's Chemical Engineers' Handbook)", () => {
    const boilsAt = (x: number): number => {
      let low = 70;
      let high = 100;
      for (let i = 0; i < 50; i++) {
        const t = (low + high) / 2;
        if (totalPa(x, t) < 101325) low = t;
        else high = t;
      }
      return low;
    };
    const lift = (x: number): number =>
      (activities(x, boilsAt(x)).ethanol * ethanolSaturationPa(boilsAt(x))) / 101325 - x;
    let low = 0.85;
    let high = 0.95;
    for (let i = 0; i < 50; i++) {
      const x = (low + high) / 2;
      if (lift(x) > 0) low = x;
      else high = x;
    }
    expect(Math.abs(low - 0.894)).toBeLessThan(0.003);
    expect(Math.abs(boilsAt(low) - 78.15)).toBeLessThan(0.1);
  });
});

/** Facts that need no fitted constant. */
describe('balance with the air', () => {
  // activity of water from the same equilibrium data: 0.96 at 13 % vol, 0.88 at 40, 0.80 at 63.5
  test.each([
    [13, 96],
    [40, 88],
    [63.5, 80],
  ])(
    'a cask of %d %% vol neither gives nor takes water at %d %% RH (15 °C)',
    (strength, humidity) => {
      expect(waterBalanceHumidityPercent(massFractionFromStrength(strength), 15)).toBeCloseTo(
        humidity,
        -0.3,
      );
    },
  );

  test('both pressures nearly double from 10 to 20 °C (IAPWS; Poling et al. 2001)', () => {
    for (const saturation of [waterSaturationPa, ethanolSaturationPa]) {
      const ratio = saturation(20) / saturation(10);
      expect(ratio).toBeGreaterThan(1.85);
      expect(ratio).toBeLessThan(2.05);
    }
  });

  test('strength is neutral near 60–65 % RH at cask strength with k_e/k_w of 0.055–0.07', () => {
    // strength stays when ethanol leaves in the proportion in which it stands in the liquid (litres
    // of pure alcohol over litres): solved for the humidity
    const p = massFractionFromStrength(63.5);
    const x = moleFractionFromMassFraction(p);
    const a = activities(x, 15);
    const neutral = (ratio: number): number => {
      const ethanolMoles = ratio * a.ethanol * ethanolSaturationPa(15);
      const waterMoles = (ethanolMoles * (1 - x)) / x;
      return a.water - waterMoles / waterSaturationPa(15);
    };
    for (const ratio of [0.055, 0.0625, 0.07]) {
      expect(neutral(ratio)).toBeGreaterThan(0.585);
      expect(neutral(ratio)).toBeLessThan(0.665);
    }
  });
});
