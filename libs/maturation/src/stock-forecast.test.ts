import { describe, expect, test } from 'vitest';
import { CLIMATE, fillingOf, gaugedEstate, regauge } from './estate.fixture.ts';
import {
  addStocks,
  addToStock,
  BLOCK_WIDTH,
  calibrate,
  emptyStock,
  finishStock,
  forecastFilling,
  forecastSet,
  updateFilling,
  type FillingWithPosterior,
} from './index.ts';

const estate = gaugedEstate();
const calibration = calibrate(estate, CLIMATE);
const options = { population: calibration.population };
const dates = Array.from({ length: 241 }, (_, i) => {
  const month = 2024 * 12 + i;
  return `${String(Math.floor(month / 12))}-${String((month % 12) + 1).padStart(2, '0')}-01`;
});

const doubtful = fillingOf('doubtful', {
  regauges: [
    regauge('2018-03-01', 184, 62.2),
    regauge('2022-03-01', 174, 60.9),
    regauge('2023-06-01', 160, 60.5),
  ],
});
const fresh = fillingOf('fresh', { filledOn: '2023-12-20' });
const later = fillingOf('later', { filledOn: '2026-05-05' });
const members: FillingWithPosterior[] = [...estate, doubtful, fresh, later].map((filling) => ({
  filling,
  posterior: updateFilling(calibration, filling, CLIMATE),
}));
const posteriors = members.map((m) => m.posterior);

describe('a stock forecast by month', () => {
  test('quantiles of each filling are those of its own forecast, within an eighth of the interval', () => {
    const asked = dates.filter((_, i) => i % 23 === 5);
    let blocks = 0;
    addToStock(emptyStock(dates, options), posteriors, CLIMATE, options, (index, block) => {
      blocks++;
      const { filling, posterior } = members[index]!;
      const from = asked.filter((d) => d >= posterior.asOf);
      for (const p of forecastFilling(posterior, filling, CLIMATE, from, options)) {
        const at = dates.indexOf(p.date) * BLOCK_WIDTH;
        [p.bulk, p.strength, p.lpa].forEach((q, j) => {
          // the strength of a cask that may have run dry is anybody's guess in both
          if (filling === doubtful && j === 1) return;
          const near = 0.125 * (q.q95 - q.q05) + 0.02;
          [q.q05, q.q10, q.q50, q.q90, q.q95].forEach((value, k) => {
            expect(Math.abs(block[at + j * 5 + k]! - value)).toBeLessThan(near);
          });
        });
      }
    });
    expect(blocks).toBe(members.length);
  });

  test('a filling still to come stands as filled until then', () => {
    addToStock(emptyStock(dates, options), [posteriors.at(-1)!], CLIMATE, options, (_, block) => {
      for (let n = 0; n < 28; n++) expect(block[n * BLOCK_WIDTH + 2]).toBeCloseTo(196, 0);
      for (const v of block) expect(Number.isFinite(v)).toBe(true);
      for (let at = 0; at < block.length; at += 5) {
        for (let k = 1; k < 5; k++)
          expect(block[at + k]!).toBeGreaterThanOrEqual(block[at + k - 1]!);
      }
    });
  });

  test('sums, in shards, are the set forecast', () => {
    const whole = members.slice(0, -1);
    const sums = [whole.slice(0, 5), whole.slice(5)].map((part) => {
      const stock = emptyStock(dates, options);
      addToStock(
        stock,
        part.map((m) => m.posterior),
        CLIMATE,
        options,
      );
      return stock;
    });
    const stock = finishStock(addStocks(sums[0]!, sums[1]!), options);
    const asked = dates.filter((_, i) => i % 40 === 3);
    for (const set of forecastSet(whole, CLIMATE, asked, options)) {
      const ours = stock.find((p) => p.date === set.date)!;
      expect(ours.fillings).toBe(whole.length);
      for (const name of ['bulk', 'lpa'] as const) {
        const near = 0.06 * (set[name].q95 - set[name].q05) + 0.002 * set[name].q50;
        expect(Math.abs(ours[name].q05 - set[name].q05)).toBeLessThan(near);
        expect(Math.abs(ours[name].q50 - set[name].q50)).toBeLessThan(near);
        expect(Math.abs(ours[name].q95 - set[name].q95)).toBeLessThan(near);
      }
      expect(ours.sdLpa / set.sdLpa).toBeGreaterThan(0.93);
      expect(ours.sdLpa / set.sdLpa).toBeLessThan(1.07);
    }
  });

  test('no dates, no fillings, dates that do not ascend', () => {
    expect(finishStock(emptyStock([], options), options)).toEqual([]);
    const none = emptyStock(dates.slice(0, 3), options);
    addToStock(none, [], CLIMATE, options);
    expect(finishStock(none, options).map((p) => p.bulk.q95)).toEqual([0, 0, 0]);
    expect(() => emptyStock(['2024-02-01', '2024-01-01'], options)).toThrow(/ascend/);
  });
});
