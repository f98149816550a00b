import type { SimulatedStore } from './simulator/estate.ts';

/** A forecast of one quantity: median and the ends of the 80 and 90 % intervals. */
export interface Interval {
  point: number;
  lo80: number;
  hi80: number;
  lo90: number;
  hi90: number;
}

export interface CaskForecast {
  caskId: string;
  years: number;
  bulk: Interval;
  strength: Interval;
  lpa: Interval;
}

export const QUANTITIES = ['bulk', 'strength', 'lpa'] as const;
export type Quantity = (typeof QUANTITIES)[number];

/**
 * Weighted interval score with two intervals (Gneiting & Raftery, J. Am. Stat. Assoc. 102 (2007)
 * 359; Bracher et al., PLoS Comput. Biol. 17 (2021) e1008618), in the quantity's own unit.
 */
export function weightedIntervalScore(f: Interval, truth: number): number {
  const score = (lo: number, hi: number, alpha: number): number =>
    hi - lo + (2 / alpha) * Math.max(0, lo - truth) + (2 / alpha) * Math.max(0, truth - hi);
  return (
    (0.5 * Math.abs(truth - f.point) +
      0.1 * score(f.lo80, f.hi80, 0.2) +
      0.05 * score(f.lo90, f.hi90, 0.1)) /
    2.5
  );
}

export interface Tally {
  n: number;
  wis: number;
  absolute: number;
  bias: number;
  in80: number;
  in90: number;
  width90: number;
}

export const emptyTally = (): Tally => ({
  n: 0,
  wis: 0,
  absolute: 0,
  bias: 0,
  in80: 0,
  in90: 0,
  width90: 0,
});

export function addTo(t: Tally, f: Interval, truth: number): void {
  t.n++;
  t.wis += weightedIntervalScore(f, truth);
  t.absolute += Math.abs(f.point - truth);
  t.bias += f.point - truth;
  t.in80 += truth >= f.lo80 && truth <= f.hi80 ? 1 : 0;
  t.in90 += truth >= f.lo90 && truth <= f.hi90 ? 1 : 0;
  t.width90 += f.hi90 - f.lo90;
}

export type Grouping = (store: SimulatedStore, caskIndex: number, years: number) => string;

/** Scores forecasts against the truth by quantity, in groups. Strength of spent casks is left out. */
export function scoreForecasts(
  store: SimulatedStore,
  forecasts: readonly CaskForecast[],
  group: Grouping,
  into: Map<string, Record<Quantity, Tally>>,
): void {
  const index = new Map(store.truth.map((t, i) => [t.caskId, i]));
  for (const f of forecasts) {
    const i = index.get(f.caskId)!;
    const horizon = store.truth[i]!.horizons.find((h) => h.years === f.years)!;
    const key = group(store, i, f.years);
    let tallies = into.get(key);
    if (!tallies) {
      tallies = { bulk: emptyTally(), strength: emptyTally(), lpa: emptyTally() };
      into.set(key, tallies);
    }
    addTo(tallies.bulk, f.bulk, horizon.content.bulkLitresAt20C);
    addTo(tallies.lpa, f.lpa, horizon.content.litresPureAlcohol);
    if (!horizon.depleted) addTo(tallies.strength, f.strength, horizon.content.strengthPercentVol);
  }
}

export interface Detection {
  truePositive: number;
  falsePositive: number;
  falseNegative: number;
}

export const precision = (d: Detection): number =>
  d.truePositive / Math.max(1, d.truePositive + d.falsePositive);
export const recall = (d: Detection): number =>
  d.truePositive / Math.max(1, d.truePositive + d.falseNegative);

/** Leaks: positive when 3 L or more had leaked before the last regauge; begun but unseen: left out. */
export function scoreLeaks(
  store: SimulatedStore,
  flagged: ReadonlyMap<string, number>,
  into: Detection,
  threshold = 0.5,
): void {
  for (const t of store.truth) {
    const positive = t.leakedByLastRegauge >= 3;
    if (!positive && t.leakBegunUnseen) continue;
    count(into, positive, (flagged.get(t.caskId) ?? 0) >= threshold);
  }
}

export function scoreBlunders(
  store: SimulatedStore,
  suspect: ReadonlyMap<string, number>,
  into: Detection,
  threshold = 0.5,
): void {
  for (const t of store.truth) {
    for (const b of t.blunders) {
      const p = suspect.get(`${t.caskId} ${b.date}`) ?? 0;
      count(into, b.kind !== 'none', p >= threshold);
    }
  }
}

function count(into: Detection, positive: boolean, said: boolean): void {
  if (positive && said) into.truePositive++;
  else if (said) into.falsePositive++;
  else if (positive) into.falseNegative++;
}
