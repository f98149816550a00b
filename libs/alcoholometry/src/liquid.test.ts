import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import {
  additionToReach,
  liquidFromVolume,
  litresAt20C,
  litresAtTemperature,
  litresPureAlcohol,
  litresPureAlcoholFromEthanolKg,
  ethanolKgFromLitresPureAlcohol,
  mix,
  mixSpirits,
  OutOfRangeError,
  SIXTY_F_IN_C,
  spiritAndWaterFor,
  spiritWithWater,
  topUp,
  volumeOfLiquid,
  waterLitres,
  waterPer100Volumes,
  waterToReduce,
} from './index.ts';

const litres = fc.double({ min: 0, max: 50_000, noNaN: true });
const strength = fc.double({ min: 0, max: 100, noNaN: true });
const temperature = fc.double({ min: -20, max: 40, noNaN: true });
const spirit = fc.record({
  bulkLitresAt20C: fc.double({ min: 0.01, max: 50_000, noNaN: true }),
  strengthPercentVol: fc.double({ min: 0.01, max: 100, noNaN: true }),
});

const near = (a: number, b: number, relative = 1e-9): void => {
  expect(Math.abs(a - b)).toBeLessThanOrEqual(relative * Math.max(1, Math.abs(b)));
};

describe('liquids', () => {
  it('go from volume to masses and back, 1e-9', () => {
    fc.assert(
      fc.property(litres, strength, (v, q) => {
        const back = volumeOfLiquid(liquidFromVolume(v, q));
        near(back.bulkLitresAt20C, v);
        if (v > 1e-6) near(back.strengthPercentVol, q);
        near(back.litresPureAlcohol, litresPureAlcohol(v, q));
      }),
    );
  });

  it('hold a mass of ethanol that the litres of pure alcohol say', () => {
    fc.assert(
      fc.property(litres, strength, (v, q) => {
        const { ethanolKg } = liquidFromVolume(v, q);
        near(litresPureAlcoholFromEthanolKg(ethanolKg), litresPureAlcohol(v, q));
        near(ethanolKgFromLitresPureAlcohol(litresPureAlcohol(v, q)), ethanolKg);
      }),
    );
  });

  it('are three zeros when empty', () => {
    const nothing = { bulkLitresAt20C: 0, strengthPercentVol: 0, litresPureAlcohol: 0 };
    expect(volumeOfLiquid({ ethanolKg: 0, waterKg: 0 })).toEqual(nothing);
    expect(volumeOfLiquid(mix())).toEqual(nothing);
  });

  it('mix by mass: pure alcohol is kept whatever is mixed', () => {
    fc.assert(
      fc.property(fc.array(spirit, { maxLength: 8 }), (spirits) => {
        const sum = spirits.reduce(
          (lpa, s) => lpa + litresPureAlcohol(s.bulkLitresAt20C, s.strengthPercentVol),
          0,
        );
        near(mixSpirits(...spirits).litresPureAlcohol, sum);
      }),
    );
  });

  it('refuse masses that cannot be', () => {
    expect(() => volumeOfLiquid({ ethanolKg: -1, waterKg: 2 })).toThrow(OutOfRangeError);
    expect(() => volumeOfLiquid({ ethanolKg: NaN, waterKg: 2 })).toThrow(OutOfRangeError);
    expect(() => liquidFromVolume(Infinity, 40)).toThrow(OutOfRangeError);
  });
});

describe('volumes', () => {
  it('go to 20 °C and back, 1e-9', () => {
    fc.assert(
      fc.property(litres, temperature, strength, (v, t, q) => {
        near(litresAtTemperature(litresAt20C(v, t, q), t, q), v);
      }),
    );
  });

  it('are left alone at 20 °C, to the last bit', () => {
    fc.assert(fc.property(litres, strength, (v, q) => litresAt20C(v, 20, q) === v));
  });
});

describe('reduction', () => {
  it('and putting the water in agree, and the ethanol stays', () => {
    fc.assert(
      fc.property(spirit, fc.double({ min: 0.05, max: 1, noNaN: true }), (from, share) => {
        const target = from.strengthPercentVol * share;
        const { waterKg, resultLitresAt20C, contractionLitres } = waterToReduce(from, target);
        const made = spiritWithWater(from, waterKg);
        near(made.strengthPercentVol, target);
        near(made.bulkLitresAt20C, resultLitresAt20C);
        near(made.contractionLitres, contractionLitres, 1e-8 * from.bulkLitresAt20C);
        near(
          made.litresPureAlcohol,
          litresPureAlcohol(from.bulkLitresAt20C, from.strengthPercentVol),
        );
      }),
    );
  });

  it('planned from the result takes what it takes from the spirit', () => {
    fc.assert(
      fc.property(spirit, fc.double({ min: 0.05, max: 1, noNaN: true }), (from, share) => {
        const target = from.strengthPercentVol * share;
        const forward = waterToReduce(from, target);
        const plan = spiritAndWaterFor(
          { bulkLitresAt20C: forward.resultLitresAt20C, strengthPercentVol: target },
          from.strengthPercentVol,
        );
        near(plan.spiritLitresAt20C, from.bulkLitresAt20C);
        near(plan.waterKg, forward.waterKg, 1e-9 * Math.max(1, from.bulkLitresAt20C));
      }),
    );
  });

  it('takes nothing when the strength is there, and cannot raise one', () => {
    const from = { bulkLitresAt20C: 100, strengthPercentVol: 40 };
    expect(waterToReduce(from, 40)).toEqual({
      waterKg: 0,
      waterLitresAt20C: 0,
      resultLitresAt20C: 100,
      contractionLitres: 0,
    });
    expect(() => waterToReduce(from, 41)).toThrow('target strength 41 is outside 0 to 40 % vol');
    expect(() => waterToReduce(from, 0)).toThrow(OutOfRangeError);
    expect(() => waterToReduce(from, NaN)).toThrow(OutOfRangeError);
  });

  it('of absolute alcohol to half strength takes 53.73 of water for 50.00 at 60 °F', () => {
    // 27 CFR 30.66, Table 6, row 100; the two densities of ethanol differ by a tenth of a part in a thousand.
    expect(waterPer100Volumes(100, 50, SIXTY_F_IN_C) / 2).toBeCloseTo(53.73, 1);
  });

  it('measures its water at the tap by that water’s density', () => {
    expect(waterLitres(998.20123, 20)).toBe(1000);
    expect(waterLitres(1000, 8)).toBeCloseTo(1000.16, 2);
  });
});

describe('additions', () => {
  it('reach the target from either side', () => {
    fc.assert(
      fc.property(
        spirit,
        strength,
        fc.double({ min: 0.02, max: 0.98, noNaN: true }),
        (s, added, share) => {
          fc.pre(Math.abs(added - s.strengthPercentVol) > 0.1);
          const target = s.strengthPercentVol + share * (added - s.strengthPercentVol);
          const { addedLitresAt20C, result } = additionToReach(s, added, target);
          near(result.strengthPercentVol, target);
          const mixed = mixSpirits(s, {
            bulkLitresAt20C: addedLitresAt20C,
            strengthPercentVol: added,
          });
          near(mixed.strengthPercentVol, target);
        },
      ),
    );
  });

  it('to lower with water are the reduction', () => {
    const s = { bulkLitresAt20C: 214, strengthPercentVol: 61.3 };
    expect(additionToReach(s, 0, 46).addedKg).toBeCloseTo(waterToReduce(s, 46).waterKg, 9);
  });

  it('that cannot reach the target say between what it has to lie', () => {
    const s = { bulkLitresAt20C: 214, strengthPercentVol: 61.3 };
    expect(() => additionToReach(s, 70, 60)).toThrow(
      'target strength 60 is outside 61.3 to 70 % vol',
    );
    expect(() => additionToReach(s, 70, 70)).toThrow(OutOfRangeError);
  });

  it('top a vessel up to its volume exactly, with a little more than the missing litres', () => {
    fc.assert(
      fc.property(
        spirit,
        strength,
        fc.double({ min: 0.001, max: 3, noNaN: true }),
        (s, added, share) => {
          const full = s.bulkLitresAt20C * (1 + share);
          const { addedLitresAt20C, result } = topUp(s, added, full);
          near(result.bulkLitresAt20C, full);
          near(addedLitresAt20C - result.contractionLitres, full - s.bulkLitresAt20C, 1e-8);
        },
      ),
    );
  });
});
