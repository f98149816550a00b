import { beforeAll, describe, expect, test } from 'vitest';
import { precision, QUANTITIES, recall } from '../../maturation/score.ts';
import { simulateStore } from '../../maturation/simulator/estate.ts';
import { coverage90, emptyTrial, meanAbsolute, tryStore } from '../../maturation/trial.ts';

/**
 * Forecasts against simulated estates whose law is not the library's (daily steps, other activities,
 * other wood, leaks, blunders, gaps). Two small stores, so the bounds leave room for chance;
 * tests/bench/maturation-trial.bench.ts prints whole stores against the targets.
 */
const CASKS = 120;
const trial = emptyTrial();

beforeAll(() => {
  for (const store of [0, 3]) tryStore(simulateStore(store, 11, CASKS), trial);
}, 120_000);

describe('90 % intervals hold about 90 % of what later happens', () => {
  test.each(['1 years', '3 years', '5 years', '10 years'])('after %s', (horizon) => {
    const tallies = trial.byHorizon.get(horizon)!;
    for (const q of QUANTITIES) {
      expect(coverage90(tallies[q])).toBeGreaterThan(0.8);
      expect(coverage90(tallies[q])).toBeLessThan(0.99);
    }
  });
});

test('error in LPA at 5 years is 30 % below the best simple rule', () => {
  const ours = meanAbsolute(trial.byHorizon.get('5 years')!.lpa);
  const rules = Object.values(trial.baselines).map((b) => meanAbsolute(b.get('5 years')!.lpa));
  expect(ours).toBeLessThan(0.7 * Math.min(...rules));
});

test('blundered records are named, honest ones left alone', () => {
  expect(precision(trial.blunders)).toBeGreaterThan(0.85);
  expect(recall(trial.blunders)).toBeGreaterThan(0.6);
});
