import { describe, expect, test } from 'vitest';
import { mostWrong, sampleFor } from './sampling.ts';

describe('what a sample says of all the casks', () => {
  test.each([
    // Largest K with hypergeom.cdf(wrong, population, K, sample) > 0.05, by SciPy 1.17.1.
    [600, 60, 0, 27],
    [600, 60, 2, 58],
    [4000, 300, 0, 38],
    [4000, 300, 5, 136],
    [50, 50, 3, 3],
    [50, 1, 1, 50],
    [20, 10, 0, 3],
  ])('%i casks, %i drawn, %i wrong: at most %i are', (population, sample, wrong, most) => {
    expect(mostWrong(population, sample, wrong)).toBe(most);
  });

  test.each([
    // Cannon and Roe, Livestock Disease Surveys (1982): animals to draw to find one of those ill with 95 % confidence
    // (figures from memory; they agree with SciPy 1.17.1).
    [100, 5, 45],
    [1000, 10, 258],
  ])('of %i, %i wrong ones show in a sample of %i', (population, wrong, sample) => {
    expect(sampleFor(population, wrong - 1)).toBe(sample);
  });

  test('a small share of very many casks obeys the rule of three (Hanley and Lippman-Hand, JAMA 249 (1983) 1743)', () => {
    for (const sample of [100, 300, 1000]) {
      const share = mostWrong(1_000_000, sample, 0) / 1_000_000;
      expect(Math.abs(share - 3 / sample) / (3 / sample)).toBeLessThan(0.02);
    }
  });

  test('more drawn or fewer wrong never says less', () => {
    for (let sample = 1; sample < 200; sample += 7)
      for (let wrong = 0; wrong < Math.min(sample, 9); wrong++) {
        expect(mostWrong(200, sample + 1, wrong)).toBeLessThanOrEqual(
          mostWrong(200, sample, wrong),
        );
        expect(mostWrong(200, sample, wrong)).toBeLessThan(
          mostWrong(200, sample + 1, wrong + 1) + 1,
        );
      }
  });

  test('what cannot be is refused with the numbers', () => {
    expect(() => mostWrong(10, 20, 0)).toThrow(/0, 20, 10/);
    expect(() => mostWrong(10, 5, 6)).toThrow(RangeError);
    expect(() => mostWrong(10, 5, 1, 1)).toThrow(/confidence/);
    expect(() => sampleFor(10, 11)).toThrow(/11/);
  });
});
