import { expect, test } from 'vitest';
import { randomStream } from './random.ts';

test('streams of one name agree, of two names do not, and numbers are spread evenly', () => {
  const a = randomStream('a');
  const again = randomStream('a');
  const b = randomStream('b');
  const drawn = Array.from({ length: 20_000 }, () => a.next());
  expect(Array.from({ length: 20_000 }, () => again.next())).toEqual(drawn);
  expect(b.next()).not.toBe(drawn[0]);
  // Chi-squared over 20 bins: 99.9 % point with 19 degrees of freedom is 43.8 (any table of the distribution).
  const bins = new Array<number>(20).fill(0);
  for (const x of drawn) bins[Math.floor(x * 20)] = (bins[Math.floor(x * 20)] ?? 0) + 1;
  const chi = bins.reduce((sum, n) => sum + (n - 1000) ** 2 / 1000, 0);
  expect(chi).toBeLessThan(43.8);
});

test('normal draws have the mean and spread asked for', () => {
  const random = randomStream('normal');
  const xs = Array.from({ length: 20_000 }, () => random.normal(5, 2));
  const mean = xs.reduce((s, x) => s + x, 0) / xs.length;
  const sd = Math.sqrt(xs.reduce((s, x) => s + (x - mean) ** 2, 0) / xs.length);
  expect(Math.abs(mean - 5)).toBeLessThan(0.06);
  expect(Math.abs(sd - 2)).toBeLessThan(0.05);
});
