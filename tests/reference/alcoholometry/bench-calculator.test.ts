/** What the bench calculator's page shows, against printed worked examples. */
import { expect, test } from 'vitest';
import { mixingSums } from '../../../apps/web/src/desk/bench/mixing-sums.ts';
import { readingSums } from '../../../apps/web/src/desk/bench/reading-sums.ts';
import { usSums } from '../../../apps/web/src/desk/bench/us-sums.ts';
import type { BenchSum } from '../../../apps/web/src/desk/bench/bench-sum.ts';

const figures = (sum: BenchSum, values: Record<string, number | null>): Record<string, number> => {
  const answer = sum.answer(values);
  if (answer === null || !('figures' in answer)) throw new Error(JSON.stringify(answer));
  return Object.fromEntries(answer.figures.map(({ label, value }) => [label, value]));
};

test('the American record, as 27 CFR 30 works its examples', () => {
  // 30.62, Table 2: 334 lb at 96 proof, 395 lb at 113 proof.
  expect(figures(usSums.byWeight, { net: 334, proof: 96 })['Wine gallons']).toBe(42.8);
  expect(figures(usSums.byWeight, { net: 395, proof: 113 })['Wine gallons']).toBe(51.5);
  // 30.64: 1,000 lb at 200 proof to 190 proof.
  expect(figures(usSums.waterByWeight, { net: 1000, fromProof: 200, toProof: 190 })['Water']).toBe(
    82.03,
  );
  // 30.66: 112 proof to 100 proof.
  expect(
    figures(usSums.waterByVolume, { fromProof: 112, toProof: 100 })['Water for 100 wine gallons'],
  ).toBe(12.42);
});

test('OIML R 22: water and ethanol at 20 °C, 998.20 and 789.24 kg/m³', () => {
  for (const [strengthPercentVol, density] of [
    [0, 998.2],
    [100, 789.24],
  ] as const)
    expect(
      figures(readingSums.expected, { strengthPercentVol, temperatureC: 20 })['Density'],
    ).toBeCloseTo(density, 2);
});

test('a recipe and the reduction of its spirit are the same sum from both ends', () => {
  const recipe = figures(mixingSums.recipe, {
    bulkLitresAt20C: 1000,
    strengthPercentVol: 40,
    spirit: 63.5,
  });
  const reduced = figures(mixingSums.reduce, {
    bulkLitresAt20C: recipe['Spirit'] ?? 0,
    strengthPercentVol: 63.5,
    target: 40,
    waterC: null,
  });
  expect(reduced['Comes to']).toBeCloseTo(1000, 6);
  expect(reduced['Water by weight']).toBeCloseTo(recipe['Water by weight'] ?? 0, 6);
});

test('a missing reading holds the sum up; one out of range says so with its range', () => {
  expect(readingSums.hydrometer.answer({ reading: 60, temperatureC: null })).toBeNull();
  expect(readingSums.hydrometer.answer({ reading: 160, temperatureC: 20 })).toMatchObject({
    message: expect.stringMatching(/160.*100/) as string,
  });
});
