import { describe, expect, it } from 'vitest';
import {
  celsiusFromFahrenheit,
  densityInAir,
  densityKgPerM3,
  densityInVacuo,
  DUTY_STRENGTH_ROUNDING,
  dutyLitresPureAlcohol,
  litresPureAlcohol,
  roundBy,
  strengthFromDensity,
} from '@rundlet/alcoholometry';

describe('HMRC, Alcoholic products technical guide, section 11', () => {
  it('rounds 7.59 % down to 7.5 % for duty', () => {
    expect(roundBy(DUTY_STRENGTH_ROUNDING.downToTenth, 7.59)).toBe(7.5);
  });
});

describe('HMRC manual HMEXSH5030', () => {
  it('100 cases of 12 × 70 cl at 40 %: 8.4 L and 3.36 L of alcohol a case, 336 L in all', () => {
    expect(litresPureAlcohol(12 * 0.7, 40)).toBeCloseTo(3.36, 12);
    expect(
      dutyLitresPureAlcohol(100 * 12 * 0.7, 40, DUTY_STRENGTH_ROUNDING.downToTenth),
    ).toBeCloseTo(336, 10);
  });

  it('100 cases of 12 × 75 cl at 40 %, older copy: 9 L, 3.6 L, 360 L, 7041.60 GBP at 19.56', () => {
    const litres = dutyLitresPureAlcohol(100 * 9, 40, DUTY_STRENGTH_ROUNDING.downToTenth);
    expect(litres).toBeCloseTo(360, 10);
    expect((litres * 19.56).toFixed(2)).toBe('7041.60');
  });
});

describe('Alcoholic Liquor Duties Act 1979, section 2 as enacted', () => {
  it('spirits at proof, 12/13 of the weight of as much water at 51 °F, are 57.1 % vol', () => {
    // Weighed in air against weights that displace the same in both pans; 57.1 % vol is from memory.
    const t = celsiusFromFahrenheit(51);
    const inAir = (12 / 13) * densityInAir(densityKgPerM3(0, t));
    expect(strengthFromDensity(densityInVacuo(inAir), t).toFixed(1)).toBe('57.1');
  });
});
