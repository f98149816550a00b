import { describe, expect, test } from 'vitest';
import { CLIMATE, fillingOf, gaugedEstate, regauge } from './estate.fixture.ts';
import { calibrate, forecastFilling, updateFilling, type FillingHistory } from './index.ts';

const estate = gaugedEstate();
const calibration = calibrate(estate, CLIMATE);
const options = { population: calibration.population };

/** Ten litres short at the latest reading, strength as expected. */
const short = fillingOf('short', {
  regauges: [
    regauge('2018-03-01', 184, 62.2),
    regauge('2022-03-01', 174, 60.9),
    regauge('2024-03-01', 160, 60.3),
  ],
});
const believe = (filling: FillingHistory) => updateFilling(calibration, filling, CLIMATE);
const saying = (event: FillingHistory['events'][number]): FillingHistory => ({
  ...short,
  events: [event],
});

describe("the keeper's word on a leak", () => {
  const open = believe(short);

  test('without it the leak is a likelihood, no certainty', () => {
    expect(open.leak.runningProbability).toBeGreaterThan(0.1);
    expect(open.leak.runningProbability).toBeLessThan(0.98);
  });

  test('a leak seen is all but certain, and since when is taken from the keeper', () => {
    const seen = believe(saying({ on: '2024-04-01', kind: 'leak-seen', since: '2023-02-01' }));
    expect(seen.leak.runningProbability).toBeGreaterThan(0.97);
    expect(seen.leak.since!.likeliest).toBe('2023-02-01');
    const [before, after] = [open, seen].map(
      (p) => forecastFilling(p, short, CLIMATE, ['2028-04-01'], options)[0]!.bulk.q50,
    );
    expect(after!).toBeLessThan(before! - 3);
  });

  test('a cask found sound leaks no longer in the forecast, and is not flagged again', () => {
    const sound = believe(saying({ on: '2024-04-01', kind: 'found-sound' }));
    expect(sound.leak.runningProbability).toBeLessThan(0.03);
    const [before, after] = [open, sound].map(
      (p) => forecastFilling(p, short, CLIMATE, ['2028-04-01'], options)[0]!.bulk.q05,
    );
    expect(after!).toBeGreaterThan(before!);
  });

  test('a leak seen before any reading tells of it runs in the forecast, with a wide doubt', () => {
    const plain = fillingOf('plain', { regauges: short.regauges.slice(0, 2) });
    const wet = { ...plain, events: [{ on: '2023-01-10', kind: 'leak-seen' as const }] };
    const seen = believe(wet);
    expect(seen.leak.runningProbability).toBeGreaterThan(0.99);
    const [dry] = forecastFilling(believe(plain), plain, CLIMATE, ['2026-01-10'], options);
    const [leaky] = forecastFilling(seen, wet, CLIMATE, ['2026-01-10'], options);
    expect(leaky!.bulk.q50).toBeLessThan(dry!.bulk.q50 - 6);
    expect(leaky!.bulk.q95 - leaky!.bulk.q05).toBeGreaterThan(dry!.bulk.q95 - dry!.bulk.q05);
    const mended = {
      ...wet,
      events: [...wet.events, { on: '2023-01-12', kind: 'repair' as const }],
    };
    expect(believe(mended).leak.runningProbability).toBeLessThan(0.01);
  });

  test('a leak that would run since before the filling is refused', () => {
    const impossible = saying({ on: '2024-04-01', kind: 'leak-seen', since: '2011-01-01' });
    expect(() => believe(impossible)).toThrow(/since 2011-01-01/);
  });
});

describe('the estate learns from it', () => {
  const shortOnes = Array.from({ length: 6 }, (_, i) => ({ ...short, id: `short-${String(i)}` }));
  const leaksPerYear = (event?: FillingHistory['events'][number]): number =>
    calibrate(
      [...estate, ...shortOnes.map((f) => ({ ...f, events: event ? [event] : [] }))],
      CLIMATE,
      { populationOnly: true },
    ).population.parameters['leaksPerYear']!;

  test('leaks seen make leaks likelier, casks found sound less so', () => {
    const open = leaksPerYear();
    expect(leaksPerYear({ on: '2024-04-01', kind: 'leak-seen' })).toBeGreaterThan(open);
    expect(leaksPerYear({ on: '2024-04-01', kind: 'found-sound' })).toBeLessThan(open);
  });

  test('readings declared blunders are counted as such and bend no cask', () => {
    const odd = estate.map((f) => ({
      ...f,
      regauges: [...f.regauges, regauge('2024-03-01', 120, 50, { verdict: 'dismissed' as const })],
    }));
    const told = calibrate(odd, CLIMATE);
    expect(told.population.parameters['blunderShare']!).toBeGreaterThan(
      calibration.population.parameters['blunderShare']!,
    );
    for (const f of odd) {
      const [with_] = forecastFilling(told.posteriors[f.id]!, f, CLIMATE, ['2027-01-01'], {
        population: told.population,
      });
      const [without] = forecastFilling(
        calibration.posteriors[f.id]!,
        f,
        CLIMATE,
        ['2027-01-01'],
        options,
      );
      expect(Math.abs(with_!.bulk.q50 - without!.bulk.q50)).toBeLessThan(1);
    }
  });
});
