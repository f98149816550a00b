import { dayNumber } from './simulator/days.ts';
import type { BundleCask, SimulatedStore } from './simulator/estate.ts';
import type { CaskForecast, Interval } from './score.ts';

/**
 * What a store does without a model: (a) a flat 2 % a year, (b) the cask's own line through its fill
 * and regauges, (c) the store's pooled rate from the cask's latest reading. Bulk and strength each;
 * LPA is their product. Intervals from the spread of the store's own rates.
 */
export type Baseline = 'flat' | 'own-line' | 'pooled';

interface Rates {
  lnBulk: number;
  strength: number;
  years: number;
}

const yearsBetween = (a: string, b: string): number => (dayNumber(b) - dayNumber(a)) / 365.25;

function lastReading(c: BundleCask): { date: string; bulk: number; strength: number } {
  const r = c.regauges.at(-1);
  return r
    ? { date: r.date, bulk: r.bulk_l_20c, strength: r.abv_20c_pct }
    : { date: c.fill_date, bulk: c.fill_bulk_l_20c, strength: c.fill_abv_20c_pct };
}

function ownRates(c: BundleCask): Rates | null {
  const points = [
    { t: 0, b: Math.log(c.fill_bulk_l_20c), s: c.fill_abv_20c_pct },
    ...c.regauges
      .filter((r) => r.bulk_l_20c > 1)
      .map((r) => ({
        t: yearsBetween(c.fill_date, r.date),
        b: Math.log(r.bulk_l_20c),
        s: r.abv_20c_pct,
      })),
  ];
  if (points.length < 2 || points.at(-1)!.t < 0.5) return null;
  const n = points.length;
  const mt = points.reduce((a, p) => a + p.t, 0) / n;
  const mb = points.reduce((a, p) => a + p.b, 0) / n;
  const ms = points.reduce((a, p) => a + p.s, 0) / n;
  const tt = points.reduce((a, p) => a + (p.t - mt) ** 2, 0);
  return {
    lnBulk: points.reduce((a, p) => a + (p.t - mt) * (p.b - mb), 0) / tt,
    strength: points.reduce((a, p) => a + (p.t - mt) * (p.s - ms), 0) / tt,
    years: points.at(-1)!.t,
  };
}

const median = (values: number[]): number => {
  const s = [...values].sort((a, b) => a - b);
  return s.length === 0 ? 0 : s[s.length >> 1]!;
};
const spread = (values: number[]): number => {
  const m = median(values);
  return 1.4826 * median(values.map((v) => Math.abs(v - m)));
};

export function baseline(store: SimulatedStore, kind: Baseline): CaskForecast[] {
  const { casks, warehouse } = store.bundle;
  const all = casks.map(ownRates);
  const rates = all.filter((r): r is Rates => r !== null && r.years >= 1);
  const pooled = {
    lnBulk: median(rates.map((r) => r.lnBulk)),
    strength: median(rates.map((r) => r.strength)),
  };
  const sd = {
    lnBulk: Math.max(0.002, spread(rates.map((r) => r.lnBulk))),
    strength: Math.max(0.05, spread(rates.map((r) => r.strength))),
  };
  return casks.flatMap((c, i) =>
    warehouse.horizons_y.map((years) => {
      const from = lastReading(c);
      const t = yearsBetween(from.date, warehouse.horizon_dates[String(years)]!);
      const own = all[i];
      const rate =
        kind === 'flat'
          ? { lnBulk: Math.log(0.98), strength: pooled.strength }
          : kind === 'own-line' && own
            ? own
            : pooled;
      const start = Math.max(1, from.bulk);
      const bulk = (z: number): number =>
        Math.max(0, start * Math.exp((rate.lnBulk + z * sd.lnBulk) * t) + z * 1.2);
      const strength = (z: number): number =>
        Math.min(
          100,
          Math.max(0, from.strength + (rate.strength + z * sd.strength) * t + z * 0.15),
        );
      const f = (value: (z: number) => number): Interval => ({
        point: value(0),
        lo80: value(-1.2816),
        hi80: value(1.2816),
        lo90: value(-1.6449),
        hi90: value(1.6449),
      });
      return {
        caskId: c.cask_id,
        years,
        bulk: f(bulk),
        strength: f(strength),
        lpa: f((z) => (bulk(z) * strength(z * 0.3)) / 100),
      };
    }),
  );
}
