import fc from 'fast-check';
import { expect, test } from 'vitest';
import { CODE_CAPACITY, makeCaskCode } from './code.ts';
import { nearestCodes } from './nearest.ts';

const stock = Array.from({ length: 4000 }, (_, n) => makeCaskCode(n));

test('a look-alike, a swap, a lost character and an unreadable one all lead back to the cask', () => {
  const code = makeCaskCode(1885);
  const [a, b, ...rest] = [...code].reverse() as [string, string, ...string[]];
  const swapped = [b, a, ...rest].reverse().join('');
  const lost = code.slice(0, 5) + code.slice(6);
  const hidden = `${code.slice(0, 5)}?${code.slice(6)}`;
  for (const bad of [swapped, lost, hidden])
    expect(nearestCodes(bad, stock).map((near) => near.code)).toContain(code);
  expect(nearestCodes(swapped, [code])[0]?.distance).toBeCloseTo(0.7, 12);
});

test('B read as 8 comes before other single errors', () => {
  const near = nearestCodes('C0000B00', ['C0000X00', 'C0000800']);
  expect(near.map(({ code }) => code)).toEqual(['C0000800', 'C0000X00']);
});

test('distance is symmetric in substitutions, zero only for the same code, and far codes are left out', () => {
  fc.assert(
    fc.property(fc.nat(CODE_CAPACITY - 1), fc.nat(CODE_CAPACITY - 1), (m, n) => {
      const [first, second] = [makeCaskCode(m), makeCaskCode(n)];
      const there = nearestCodes(first, [second], { within: 8 })[0]?.distance ?? 0;
      const back = nearestCodes(second, [first], { within: 8 })[0]?.distance ?? 0;
      expect(there).toBeCloseTo(back, 9);
      expect(there === 0).toBe(m === n);
    }),
  );
  expect(nearestCodes('VZZZZZZZ', stock)).toEqual([]);
});

test('no more than asked for', () => {
  expect(nearestCodes('C0000001', stock, { limit: 3 })).toHaveLength(3);
});
