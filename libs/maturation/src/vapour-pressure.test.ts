import fc from 'fast-check';
import { expect, test } from 'vitest';
import { activities, ethanolSaturationPa, waterSaturationPa } from './vapour-pressure.ts';

test('activities tend to the mole fractions of the pure ends', () => {
  expect(activities(0, 15)).toEqual({ ethanol: 0, water: 1 });
  expect(activities(1, 15)).toEqual({ ethanol: 1, water: 0 });
});

test('activities obey the Gibbs–Duhem equation', () => {
  fc.assert(
    fc.property(
      fc.double({ min: 0.02, max: 0.98, noNaN: true }),
      fc.double({ min: -20, max: 50, noNaN: true }),
      (x, t) => {
        const h = 1e-5;
        const a = activities(x - h, t);
        const b = activities(x + h, t);
        const sum = x * Math.log(b.ethanol / a.ethanol) + (1 - x) * Math.log(b.water / a.water);
        expect(Math.abs(sum)).toBeLessThan(1e-8);
      },
    ),
  );
});

test('pressures rise with temperature over the whole range', () => {
  for (let t = -40; t < 60; t++) {
    expect(waterSaturationPa(t + 1)).toBeGreaterThan(waterSaturationPa(t));
    expect(ethanolSaturationPa(t + 1)).toBeGreaterThan(ethanolSaturationPa(t));
  }
});

test.each([-41, 111, NaN])('%d °C is refused', (t) => {
  expect(() => waterSaturationPa(t)).toThrow(/°C/);
});

test.each([-0.01, 1.01, NaN])('a mole fraction of %d is refused', (x) => {
  expect(() => activities(x, 15)).toThrow(RangeError);
});
