import { expect, test } from 'vitest';
import { liquidFromVolume } from '@rundlet/alcoholometry';
import { gauge } from '@rundlet/gauging';
import { CASK_PLANS, cooperLot, makeCask } from './cooperage.ts';
import { caskReadings, vatReadings } from './instruments.ts';
import { randomStream } from './random.ts';

/** Standardised errors of many gaugings of casks whose contents are known. */
function errors(method: 'dip' | 'weight') {
  const random = randomStream(`errors/${method}`);
  const lot = cooperLot(random, 2020, 1);
  return Array.from({ length: 400 }, () => {
    const cask = makeCask(random, lot, random.pick(CASK_PLANS));
    const litres = cask.trueCapacityLitres * random.between(0.5, 0.95);
    const strength = random.between(48, 66);
    const liquid = liquidFromVolume(litres, strength);
    const truth = {
      liquidTemperatureC: random.between(4, 22),
      thirstDrunkKg: 3,
      modern: random.chance(0.5),
    };
    const read = gauge(caskReadings(random, cask, liquid, truth, method), cask);
    return {
      litres: (read.bulkLitresAt20C - litres) / read.uncertainties.litres,
      strength: (read.strengthPercentVol - strength) / read.uncertainties.percentVol,
    };
  });
}
const rms = (xs: number[]): number => Math.sqrt(xs.reduce((sum, x) => sum + x * x, 0) / xs.length);

test.each(['dip', 'weight'] as const)(
  'what the gauging library makes of readings by %s is off by about the uncertainty it states',
  (method) => {
    const found = errors(method);
    for (const quantity of ['litres', 'strength'] as const) {
      const spread = rms(found.map((e) => e[quantity]));
      expect(spread, quantity).toBeGreaterThan(0.4);
      expect(spread, quantity).toBeLessThan(1.5);
    }
  },
);

test('a vat on load cells is gauged to a few tenths of a percent', () => {
  const random = randomStream('vat');
  const read = gauge(vatReadings(random, liquidFromVolume(4000, 70), 12));
  expect(Math.abs(read.bulkLitresAt20C - 4000)).toBeLessThan(12);
  expect(Math.abs(read.strengthPercentVol - 70)).toBeLessThan(0.2);
});
