import { describe, expect, test } from 'vitest';
import type { FillingHistory, ForecastPoint, Quantiles } from './types.ts';
import { CLIMATE, fillingOf, gaugedEstate, REFILL, regauge } from './estate.fixture.ts';
import {
  addSets,
  assessRegauge,
  calibrate,
  climatologyFromNormals,
  crossing,
  finishSet,
  forecastFilling,
  forecastSet,
  lossSplit,
  regaugeRanking,
  sumSet,
  traceFilling,
  updateFilling,
  whatIf,
  woodContactIndex,
  zoneClimate,
  type Calibration,
} from './index.ts';

const estate = gaugedEstate();
const calibration = calibrate(estate, CLIMATE);
const { population } = calibration;
const options = { population };
const DATES = ['2023-01-01', '2025-01-01', '2030-01-01', '2034-01-01'];

const ahead = (filling: FillingHistory, dates = DATES): ForecastPoint[] =>
  forecastFilling(updateFilling(calibration, filling, CLIMATE), filling, CLIMATE, dates, options);

const width = (q: Quantiles): number => q.q95 - q.q05;

function expectOrdered(points: readonly ForecastPoint[]): void {
  for (const p of points) {
    for (const q of [p.bulk, p.strength, p.lpa]) {
      const all = [q.q05, q.q10, q.q50, q.q90, q.q95];
      for (const v of all) expect(Number.isFinite(v)).toBe(true);
      expect([...all].sort((a, b) => a - b)).toEqual(all);
      expect(q.q05).toBeGreaterThanOrEqual(0);
    }
    expect(p.strength.q95).toBeLessThanOrEqual(100);
  }
}

describe('forecast of one filling', () => {
  const gauged = estate[3]!;

  test('quantiles are ordered, doubt grows with time, the content falls', () => {
    const points = ahead(gauged);
    expectOrdered(points);
    for (let i = 1; i < points.length; i++) {
      expect(width(points[i]!.bulk)).toBeGreaterThan(width(points[i - 1]!.bulk));
      expect(points[i]!.bulk.q50).toBeLessThan(points[i - 1]!.bulk.q50);
    }
  });

  test('dates come back in the order they were asked in', () => {
    const back = ahead(gauged, [...DATES].reverse());
    expect(back.map((p) => p.date)).toEqual([...DATES].reverse());
    expect(back.at(-1)).toEqual(ahead(gauged)[0]);
  });

  test('every regauge narrows the forecast', () => {
    const none = ahead({ ...gauged, regauges: [] });
    const one = ahead({ ...gauged, regauges: gauged.regauges.slice(0, 1) });
    const two = ahead(gauged);
    expect(width(one[2]!.bulk)).toBeLessThan(width(none[2]!.bulk));
    expect(width(two[2]!.bulk)).toBeLessThan(width(one[2]!.bulk));
    expect(width(two[2]!.strength)).toBeLessThan(width(none[2]!.strength));
  });

  test('a posterior and a population that went through JSON forecast the same', () => {
    const again = JSON.parse(JSON.stringify(calibration)) as Calibration;
    const points = forecastFilling(again.posteriors[gauged.id]!, gauged, CLIMATE, DATES, {
      population: again.population,
    });
    const direct = forecastFilling(
      calibration.posteriors[gauged.id]!,
      gauged,
      CLIMATE,
      DATES,
      options,
    );
    points.forEach((p, i) => {
      expect(p.bulk.q05).toBeCloseTo(direct[i]!.bulk.q05, 6);
      expect(p.strength.q50).toBeCloseTo(direct[i]!.strength.q50, 6);
    });
  });

  test('a date before the latest evidence is refused, and told what to do', () => {
    expect(() => ahead(gauged, ['2020-01-01'])).toThrow(/latest evidence.*traceFilling/);
  });

  test('the past is drawn through the measured points', () => {
    const posterior = calibration.posteriors[gauged.id]!;
    const trace = traceFilling(
      posterior,
      gauged,
      CLIMATE,
      ['2014-03-01', '2018-03-01', '2022-03-01'],
      options,
    );
    expect(trace[0]!.bulkLitresAt20C).toBeCloseTo(196, 2);
    gauged.regauges.forEach((r, i) => {
      expect(Math.abs(trace[i + 1]!.bulkLitresAt20C - r.bulkLitresAt20C)).toBeLessThan(2.5);
      expect(Math.abs(trace[i + 1]!.strengthPercentVol - r.strengthPercentVol)).toBeLessThan(0.4);
    });
  });
});

describe('events inside a filling', () => {
  test('a withdrawal, a top-up and a move all tell', () => {
    const plain = fillingOf('p');
    const at = ['2020-01-01'];
    const drawn = fillingOf('d', {
      events: [{ on: '2017-01-01', kind: 'withdrawal', bulkLitresAt20C: 20 }],
    });
    const topped = fillingOf('t', {
      events: [{ on: '2017-01-01', kind: 'top-up', bulkLitresAt20C: 10, strengthPercentVol: 60 }],
    });
    const moved = fillingOf('m', {
      events: [{ on: '2017-01-01', kind: 'move', toZoneId: 'loft' }],
    });
    const bulk = (f: FillingHistory): number => ahead(f, at)[0]!.bulk.q50;
    expect(bulk(plain) - bulk(drawn)).toBeGreaterThan(18);
    expect(bulk(plain) - bulk(drawn)).toBeLessThan(20.5);
    expect(bulk(topped) - bulk(plain)).toBeGreaterThan(9);
    expect(bulk(moved)).toBeLessThan(bulk(plain) - 3);
    expect(ahead(moved, at)[0]!.strength.q50).toBeGreaterThan(ahead(plain, at)[0]!.strength.q50);
  });

  test('a re-racked filling soaks its new wood and is doubted anew', () => {
    const gauged = estate[2]!;
    const cask = { ...REFILL, nominalLitres: 225, fillNumber: 1, previousContents: 'none' };
    const racked = {
      ...gauged,
      events: [{ on: '2022-06-01', kind: 're-rack' as const, caskKind: cask }],
    };
    const [before] = ahead(gauged, ['2024-01-01']);
    const [after] = ahead(racked, ['2024-01-01']);
    expect(after!.bulk.q50).toBeLessThan(before!.bulk.q50 - 2);
    expect(width(after!.bulk)).toBeGreaterThan(width(before!.bulk));
  });

  test('records dated before the filling, zones without climate and impossible litres are refused', () => {
    const bad = [
      fillingOf('x', { regauges: [regauge('2013-01-01', 190, 63)] }),
      fillingOf('x', { zoneId: 'attic' }),
      fillingOf('x', { regauges: [regauge('2018-01-01', -5, 63)] }),
      fillingOf('x', { fill: { ...estate[0]!.fill, strengthPercentVol: 130 } }),
      fillingOf('x', { fill: { ...estate[0]!.fill, uLitres: 0 } }),
    ];
    for (const filling of bad)
      expect(() => updateFilling(calibration, filling, CLIMATE)).toThrow(RangeError);
  });
});

describe('extremes give a sensible answer, never NaN', () => {
  const steady = (t: number, h: number) => ({
    ground: zoneClimate('ground', {
      normals: climatologyFromNormals({
        meanTemperatureC: new Array<number>(12).fill(t),
        relativeHumidityPercent: new Array<number>(12).fill(h),
      }),
    }),
  });

  test.each([
    [15, 0],
    [15, 100],
    [-10, 70],
    [45, 10],
    [45, 100],
  ])('%d °C and %d percent RH over 40 years', (t, h) => {
    const climate = steady(t, h);
    const filling = fillingOf('x', { filledOn: '1984-01-01' });
    const posterior = updateFilling(population, filling, climate);
    expectOrdered(
      forecastFilling(
        posterior,
        filling,
        climate,
        ['1984-01-02', '1990-01-01', '2024-01-01'],
        options,
      ),
    );
  });

  test('no logger at all, filled yesterday, one regauge, an empty cask, an empty estate', () => {
    const nothing = calibrate([], {});
    expect(nothing.population.status).toBe('priors-only');
    const blind = { ground: zoneClimate('ground', {}) };
    for (const filling of [
      fillingOf('new', { filledOn: '2024-06-30' }),
      fillingOf('one', { regauges: [regauge('2018-03-01', 184, 62.3)] }),
      fillingOf('gone', { regauges: [regauge('2018-03-01', 0, 0, { verdict: 'confirmed' })] }),
    ]) {
      const posterior = updateFilling(nothing, filling, blind);
      expectOrdered(
        forecastFilling(posterior, filling, blind, ['2024-07-01', '2034-07-01'], {
          population: nothing.population,
        }),
      );
    }
    expect(() =>
      zoneClimate('x', {
        normals: climatologyFromNormals({ meanTemperatureC: [80], relativeHumidityPercent: [50] }),
      }),
    ).toThrow(RangeError);
  });
});

describe('a reading that has just arrived', () => {
  const gauged = estate[4]!;
  const before = calibration.posteriors[gauged.id]!;
  const [due] = ahead(gauged, ['2025-06-01']);
  const judge = (litres: number, strength: number, changes = {}) =>
    assessRegauge(
      before,
      gauged,
      CLIMATE,
      regauge('2025-06-01', litres, strength, changes),
      options,
    );

  test('as expected when it is', () => {
    const a = judge(due!.bulk.q50, due!.strength.q50);
    expect(a.verdict).toBe('as-expected');
    expect(a.probabilities.blunder).toBeLessThan(0.02);
    expect(Math.abs(a.z.bulk)).toBeLessThan(0.1);
  });

  test('a leak: strength as expected, 25 L gone', () => {
    const a = judge(due!.bulk.q50 - 25, due!.strength.q50);
    expect(a.verdict).toBe('possible-leak');
    expect(a.since!.likeliest > '2022-03-01').toBe(true);
    expect(a.since!.likeliest < '2025-06-01').toBe(true);
  });

  test.each([
    ['a slipped digit', 100, 0],
    ['strength of another cask', 0, 7],
    ['another cask altogether', 40, -6],
  ])('a blunder: %s', (_name, litres, strength) => {
    const a = judge(due!.bulk.q50 + litres, due!.strength.q50 + strength);
    expect(a.verdict).toBe('possible-blunder');
    expect(a.probability).toBeGreaterThan(0.9);
    // and the cask is not bent by it
    const [after] = forecastFilling(a.posterior, gauged, CLIMATE, ['2026-06-01'], options);
    const [plain] = ahead(gauged, ['2026-06-01']);
    expect(Math.abs(after!.bulk.q50 - plain!.bulk.q50)).toBeLessThan(3);
  });

  test('a strength left uncorrected for a cold cask is recognised by its temperature', () => {
    const a = judge(due!.bulk.q50, due!.strength.q50 - 4.4, { liquidTemperatureC: 8 });
    expect(a.verdict).toBe('possible-blunder');
  });

  test("the keeper's word settles it: dismissed is ignored, confirmed is believed", () => {
    const odd = regauge('2025-06-01', due!.bulk.q50 - 60, due!.strength.q50 + 5);
    const withVerdict = (verdict: 'confirmed' | 'dismissed') => ({
      ...gauged,
      regauges: [...gauged.regauges, { ...odd, verdict }],
    });
    const dismissed = updateFilling(calibration, withVerdict('dismissed'), CLIMATE);
    expect(dismissed.regauges.at(-1)!.blunderProbability).toBeCloseTo(1, 6);
    const confirmed = updateFilling(calibration, withVerdict('confirmed'), CLIMATE);
    expect(confirmed.regauges.at(-1)!.blunderProbability).toBe(0);
    const [point] = forecastFilling(confirmed, gauged, CLIMATE, ['2025-07-01'], options);
    expect(Math.abs(point!.bulk.q50 - odd.bulkLitresAt20C)).toBeLessThan(12);
  });

  test('a repair ends the leak', () => {
    const leaky = {
      ...gauged,
      regauges: [...gauged.regauges, regauge('2025-06-01', due!.bulk.q50 - 25, due!.strength.q50)],
    };
    const mended = { ...leaky, events: [{ on: '2025-06-02', kind: 'repair' as const }] };
    const running = updateFilling(calibration, leaky, CLIMATE);
    const stopped = updateFilling(calibration, mended, CLIMATE);
    expect(running.leak.runningProbability).toBeGreaterThan(0.3);
    expect(stopped.leak.runningProbability).toBeLessThan(0.01);
    expect(stopped.leak.probability).toBeCloseTo(running.leak.probability, 2);
    const [a] = forecastFilling(running, leaky, CLIMATE, ['2027-06-01'], options);
    const [b] = forecastFilling(stopped, mended, CLIMATE, ['2027-06-01'], options);
    expect(b!.bulk.q50).toBeGreaterThan(a!.bulk.q50 + 3);
  });

  test('an older reading is refused', () => {
    expect(() =>
      assessRegauge(before, gauged, CLIMATE, regauge('2019-01-01', 180, 62), options),
    ).toThrow(/older/);
  });
});

describe('sets', () => {
  const members = estate.map((filling) => ({
    filling,
    posterior: calibration.posteriors[filling.id]!,
  }));
  const fresh = Array.from({ length: 12 }, (_, i) => {
    const filling = fillingOf(`fresh-${String(i)}`, { filledOn: '2022-01-01' });
    return { filling, posterior: updateFilling(calibration, filling, CLIMATE) };
  });

  test('the sum of medians is about the median of the sum', () => {
    const [set] = forecastSet(members, CLIMATE, ['2030-01-01'], options);
    const sum = estate.reduce((s, f) => s + ahead(f, ['2030-01-01'])[0]!.lpa.q50, 0);
    expect(Math.abs(set!.lpa.q50 / sum - 1)).toBeLessThan(0.03);
    expect(set!.strength.q50).toBeGreaterThan(55);
    expect(set!.strength.q50).toBeLessThan(63);
  });

  test('what casks share does not average out', () => {
    const [set] = forecastSet(fresh, CLIMATE, ['2032-01-01'], options);
    expect(set!.sdLpa).toBeGreaterThan(1.1 * set!.sdLpaIfIndependent);
    const alone = ahead(fresh[0]!.filling, ['2032-01-01'])[0]!;
    expect(width(set!.lpa)).toBeLessThan(fresh.length * width(alone.lpa));
  });

  test('shards add up to the whole', () => {
    const dates = ['2025-01-01', '2030-01-01'];
    const whole = forecastSet(members, CLIMATE, dates, options);
    const parts = addSets(
      sumSet(members.slice(0, 4), CLIMATE, dates, options),
      sumSet(members.slice(4), CLIMATE, dates, options),
    );
    finishSet(parts, options).forEach((p, i) => {
      expect(p.lpa.q05).toBeCloseTo(whole[i]!.lpa.q05, 6);
      expect(p.sdLpa).toBeCloseTo(whole[i]!.sdLpa, 6);
    });
  });

  test('one filling is its own set; none is nothing', () => {
    const [set] = forecastSet(members.slice(0, 1), CLIMATE, ['2030-01-01'], options);
    expect(set!.bulk).toEqual(
      forecastFilling(members[0]!.posterior, estate[0]!, CLIMATE, ['2030-01-01'], options)[0]!.bulk,
    );
    expect(forecastSet([], CLIMATE, ['2030-01-01'], options)[0]).toMatchObject({
      fillings: 0,
      sdLpa: 0,
    });
  });

  test('opening the casks ranked first takes most doubt', () => {
    const all = [...members, ...fresh];
    const ranked = regaugeRanking(
      all,
      CLIMATE,
      { on: '2026-01-01', at: '2026-01-01', count: 22, uLitres: 1.25, uStrength: 0.11, dip: true },
      options,
    );
    for (let i = 1; i < ranked.length; i++) {
      const taken = (r: (typeof ranked)[number]): number => r.sdBefore ** 2 - r.sdAfter ** 2;
      expect(taken(ranked[i]!)).toBeLessThanOrEqual(taken(ranked[i - 1]!) + 1e-9);
      expect(ranked[i]!.sdBefore).toBeCloseTo(ranked[i - 1]!.sdAfter, 9);
    }
  });
});

describe('questions asked of one filling', () => {
  const gauged = estate[5]!;
  const posterior = calibration.posteriors[gauged.id]!;

  test('a strength floor is crossed once, and its date is a distribution', () => {
    const c = crossing(
      posterior,
      gauged,
      CLIMATE,
      { strengthFloor: 58, horizon: '2070-01-01' },
      options,
    );
    for (let i = 1; i < c.byDate.length; i++) {
      expect(c.byDate[i]!.probability).toBeGreaterThanOrEqual(c.byDate[i - 1]!.probability);
    }
    const dates = [c.q05, c.q10, c.q50, c.q90].filter((d) => d !== null);
    expect([...dates].sort()).toEqual(dates);
    const median = forecastFilling(posterior, gauged, CLIMATE, [c.q50!], options)[0]!;
    expect(median.strength.q50).toBeCloseTo(58, 1);
  });

  test('a floor it will never see, and one it is already under', () => {
    const never = crossing(
      posterior,
      gauged,
      CLIMATE,
      { strengthFloor: 20, horizon: '2026-01-01' },
      options,
    );
    expect(never.q05).toBeNull();
    expect(never.probabilityNever).toBeGreaterThan(0.99);
    const now = crossing(
      posterior,
      gauged,
      CLIMATE,
      { leastLitres: 500, horizon: '2026-01-01' },
      options,
    );
    expect(now.q95).toBe(posterior.asOf);
    expect(() => crossing(posterior, gauged, CLIMATE, { horizon: '2026-01-01' }, options)).toThrow(
      RangeError,
    );
  });

  test('losses by cause add up to the loss', () => {
    const split = lossSplit(posterior, gauged, CLIMATE, {}, options);
    const sum = (k: 'bulkLitresAt20C' | 'litresPureAlcohol'): number =>
      split.causes.reduce((s, c) => s + c[k], 0);
    expect(sum('bulkLitresAt20C')).toBeCloseTo(split.total.bulkLitresAt20C, 9);
    expect(sum('litresPureAlcohol')).toBeCloseTo(split.total.litresPureAlcohol, 9);
    const of = (cause: string): number =>
      split.causes.find((c) => c.cause === cause)!.bulkLitresAt20C;
    expect(of('soakage')).toBeGreaterThan(0.5);
    expect(of('evaporation-ethanol')).toBeGreaterThan(of('evaporation-water'));
    expect(Math.abs(of('gauge-difference'))).toBeLessThan(2);
  });

  test('a warmer, drier loft loses more and keeps strength', () => {
    const [stay, move] = whatIf(
      posterior,
      gauged,
      CLIMATE,
      [{ name: 'to the loft', on: '2024-01-01', toZoneId: 'loft' }],
      ['2023-06-01', '2030-01-01'],
      options,
    );
    expect(move!.points[0]).toEqual(stay!.points[0]);
    expect(move!.points[1]!.bulk.q50).toBeLessThan(stay!.points[1]!.bulk.q50 - 3);
    expect(move!.points[1]!.strength.q50).toBeGreaterThan(stay!.points[1]!.strength.q50);
    expectOrdered(move!.points);
  });

  test('wood contact grows, faster in small fresh casks', () => {
    const index = (filling: FillingHistory): number[] =>
      woodContactIndex(
        updateFilling(calibration, filling, CLIMATE),
        filling,
        CLIMATE,
        ['2015-03-01', '2020-03-01', '2030-03-01'],
        options,
      ).map((w) => w.index);
    const plain = index(fillingOf('p'));
    expect(plain[1]!).toBeGreaterThan(plain[0]!);
    expect(plain[2]!).toBeGreaterThan(plain[1]!);
    const small = index(
      fillingOf('s', {
        caskKind: { ...REFILL, nominalLitres: 50, fillNumber: 1, previousContents: 'none' },
        fill: { bulkLitresAt20C: 49, strengthPercentVol: 63.5, uLitres: 0.3, uStrength: 0.1 },
      }),
    );
    expect(small[0]! / plain[0]!).toBeGreaterThan(2);
  });
});

test('progress is told and a stop is obeyed', () => {
  const seen: number[] = [];
  const stopped = calibrate(estate, CLIMATE, {
    onProgress: (p) => seen.push(p.share),
    shouldStop: () => seen.length > 2,
  });
  expect(stopped.population.status).toBe('stopped');
  expect(seen.length).toBeGreaterThan(0);
  expect(calibration.population.status).toMatch(/converged|iteration-limit/);
});

test('the same estate calibrates to the same numbers', () => {
  expect(calibrate(estate, CLIMATE)).toEqual(calibration);
});
