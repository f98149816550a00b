import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { DUTY_STRENGTH_ROUNDING, dutyLitresPureAlcohol, roundBy, roundHalfUp } from './index.ts';

const { downToTenth, nearestTenth, none } = DUTY_STRENGTH_ROUNDING;

describe('rounding policies', () => {
  it('round down, to the nearest, or not at all', () => {
    expect(roundBy(downToTenth, 43.19)).toBe(43.1);
    expect(roundBy(nearestTenth, 43.19)).toBe(43.2);
    expect(roundBy(nearestTenth, 43.15)).toBe(43.2);
    expect(roundBy(none, 43.19)).toBe(43.19);
  });

  it('do not take a tenth from a strength that is on the tenth but for the last bits', () => {
    for (let tenths = 0; tenths <= 1000; tenths++) {
      const strength = Number(`${Math.floor(tenths / 10)}.${tenths % 10}`);
      expect(roundBy(downToTenth, strength)).toBe(strength);
      expect(roundBy(downToTenth, strength - 1e-12 < 0 ? 0 : strength - 1e-12)).toBe(strength);
    }
  });

  it('never round down by a tenth or more, nor to the nearest by more than half', () => {
    fc.assert(
      fc.property(fc.double({ min: 0, max: 100, noNaN: true }), (strength) => {
        const down = roundBy(downToTenth, strength);
        expect(strength - down).toBeLessThan(0.1);
        expect(strength - down).toBeGreaterThan(-1e-9);
        expect(Math.abs(roundHalfUp(strength, 2) - strength)).toBeLessThan(0.005 + 1e-9);
      }),
    );
  });

  it('decide the litres duty is on', () => {
    expect(dutyLitresPureAlcohol(100, 43.19, downToTenth)).toBeCloseTo(43.1, 12);
    expect(dutyLitresPureAlcohol(100, 43.19, none)).toBeCloseTo(43.19, 12);
  });

  it('refuse what is not a figure', () => {
    expect(() => roundBy(downToTenth, NaN)).toThrow(RangeError);
    expect(() => roundBy(downToTenth, -1)).toThrow(RangeError);
    expect(() => roundBy({ step: 0, direction: 'down' }, 1)).toThrow(RangeError);
  });
});
