import fc from 'fast-check';
import { expect, test } from 'vitest';
import {
  add,
  apportion,
  contentOf,
  ethanolMg,
  figuresOf,
  lotShares,
  part,
  rescale,
  subtract,
} from './content.ts';
import { liquidFromVolume } from '@rundlet/alcoholometry';

const lot = fc.constantFrom('a', 'b', 'c', 'd', 'e');
const content = fc.record({
  waterMg: fc.integer({ min: 0, max: 1e12 }),
  ethanolMgByLot: fc.dictionary(lot, fc.integer({ min: 1, max: 1e11 }), { minKeys: 1 }),
});

test('a part and what is left come to the whole, to the milligram, and no lot goes negative', () => {
  fc.assert(
    fc.property(content, fc.double({ min: 0, max: 1, noNaN: true }), (whole, fraction) => {
      const { taken, left } = part(whole, fraction);
      expect(add(taken, left)).toEqual(add(whole, { waterMg: 0, ethanolMgByLot: {} }));
      for (const mg of [
        ...Object.values(taken.ethanolMgByLot),
        ...Object.values(left.ethanolMgByLot),
      ])
        expect(mg).toBeGreaterThan(0);
    }),
  );
});

test('apportioning gives the total exactly and keeps shares to a milligram', () => {
  fc.assert(
    fc.property(
      fc.dictionary(lot, fc.integer({ min: 1, max: 1e12 }), { minKeys: 1 }),
      fc.integer({ min: 1, max: 1e12 }),
      (weights, total) => {
        const parts = apportion(weights, total);
        expect(Object.values(parts).reduce((s, v) => s + v, 0)).toBe(total);
        const sum = Object.values(weights).reduce((s, v) => s + v, 0);
        for (const [key, weight] of Object.entries(weights))
          expect(Math.abs((parts[key] ?? 0) - (weight / sum) * total)).toBeLessThanOrEqual(1.01);
      },
    ),
  );
});

test('a gauge keeps the shares of origin to 1e-9 at cask size', () => {
  const mixed = add(
    contentOf('a', liquidFromVolume(120, 63)),
    contentOf('b', liquidFromVolume(80, 60)),
  );
  const before = lotShares(mixed);
  const after = lotShares(rescale(mixed, ethanolMg(mixed) - 3_000_017, mixed.waterMg - 999_999));
  expect(Math.abs((before['a'] ?? 0) - (after['a'] ?? 0))).toBeLessThan(1e-7);
  expect((after['a'] ?? 0) + (after['b'] ?? 0)).toBeCloseTo(1, 12);
});

test('taking more than there is is null, and figures come from masses: equal volumes of 40 and 70 % vol make 55.17, not 55', () => {
  const weak = contentOf('a', liquidFromVolume(100, 40));
  const strong = contentOf('b', liquidFromVolume(100, 70));
  expect(subtract(weak, strong)).toBeNull();
  // By the OIML R 22 density; the contraction is what alligation by volume forgets.
  expect(figuresOf(add(weak, strong)).strengthPercentVol).toBeCloseTo(55.17, 2);
});
