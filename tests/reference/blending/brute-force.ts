/**
 * The best plan of whole casks found by trying every set of them. Shares nothing with the planner: wishes and aims are worked out
 * here from each cask's litres and strength, with the density formula only (OIML R 22, through volumeOfLiquid).
 */
import {
  liquidFromVolume,
  volumeOfLiquid,
  waterDensity20C,
  type Liquid,
} from '@rundlet/alcoholometry';
import type { Aim, BlendProblem, CandidateCask, ValueMatch, Wish } from '@rundlet/blending';

export interface BruteBest {
  readonly values: readonly number[];
  readonly caskIds: readonly string[];
  readonly waterKg: number;
}

/** Rounding that is allowed for at the edges of windows and shares. */
const SLACK = 1e-9;

export function bruteForce(problem: BlendProblem): BruteBest | null {
  const { casks } = problem;
  const liquids = casks.map((c) => liquidFromVolume(c.bulkLitresAt20C, c.strengthPercentVol));
  const priorities = [...new Set(problem.aims.map((a) => a.priority ?? 1))].sort((a, b) => a - b);
  let best: BruteBest | null = null;
  for (let set = 1; set < 1 << casks.length; set++) {
    const chosen = casks.filter((_, i) => (set >> i) & 1);
    if (!problem.wishes.every((wish) => holds(wish, chosen))) continue;
    if (!problem.wishes.some((w) => w.kind === 'holds') && chosen.some((c) => c.holds?.length))
      continue;
    if (problem.aims.some((aim) => !chosen.every((c) => hasFigures(aim, c)))) continue;
    if ((problem.locks ?? []).some((lock) => !chosen.some((c) => c.id === lock.caskId))) continue;
    const liquid = liquids.reduce<Liquid>(
      (sum, one, i) =>
        (set >> i) & 1
          ? { ethanolKg: sum.ethanolKg + one.ethanolKg, waterKg: sum.waterKg + one.waterKg }
          : sum,
      { ethanolKg: 0, waterKg: 0 },
    );
    const range = waterRange(problem, liquid);
    if (!range) continue;
    const at = (waterKg: number): number[] =>
      priorities.map((priority) =>
        problem.aims
          .filter((aim) => (aim.priority ?? 1) === priority)
          .reduce(
            (sum, aim) => sum + (aim.weight ?? 1) * worth(aim, problem, chosen, liquid, waterKg),
            0,
          ),
      );
    // Aims are convex in the water: thirds close in on the least (of the first level that water moves).
    let [low, high] = range;
    for (let step = 0; step < 80; step++) {
      const a = low + (high - low) / 3;
      const b = high - (high - low) / 3;
      if (compare(at(a), at(b), 0) <= 0) high = b;
      else low = a;
    }
    const waterKg = (low + high) / 2;
    const values = at(waterKg);
    if (!best || compare(values, best.values, 1e-9) < 0)
      best = { values, caskIds: chosen.map((c) => c.id), waterKg };
  }
  return best;
}

function compare(a: readonly number[], b: readonly number[], relative: number): number {
  for (let k = 0; k < a.length; k++) {
    const difference = a[k]! - b[k]!;
    if (Math.abs(difference) > relative * Math.max(1, Math.abs(b[k]!))) return difference;
  }
  return 0;
}

/** Water, kg, between which volume and strength lie in their windows; found by halving alone. */
function waterRange(problem: BlendProblem, liquid: Liquid): [number, number] | null {
  const volume = problem.wishes.find((w) => w.kind === 'volume')!;
  const strength = problem.wishes.find((w) => w.kind === 'strength')!;
  const water = problem.wishes.find((w) => w.kind === 'water');
  const litresToKg = waterDensity20C / 1000;
  const vat = (kg: number) => volumeOfLiquid({ ...liquid, waterKg: liquid.waterKg + kg });
  const far = volume.highLitresAt20C * 1.2;
  const first = (holdsFrom: (kg: number) => boolean): number => {
    if (holdsFrom(0)) return 0;
    let [no, yes] = [0, far];
    for (let k = 0; k < 100; k++) {
      const middle = (no + yes) / 2;
      if (holdsFrom(middle)) yes = middle;
      else no = middle;
    }
    return yes;
  };
  const { lowLitresAt20C: vLow, highLitresAt20C: vHigh } = volume;
  const { lowPercentVol: qLow, highPercentVol: qHigh } = strength;
  // Past a window before any water is added: no water brings it back.
  if (vat(0).bulkLitresAt20C > vHigh || vat(0).strengthPercentVol < qLow) return null;
  const least = Math.max(
    first((kg) => vat(kg).bulkLitresAt20C >= vLow),
    first((kg) => vat(kg).strengthPercentVol <= qHigh),
    (water?.leastLitresAt20C ?? 0) * litresToKg,
  );
  const most = Math.min(
    first((kg) => vat(kg).bulkLitresAt20C > vHigh),
    first((kg) => vat(kg).strengthPercentVol < qLow),
    (water?.mostLitresAt20C ?? Infinity) * litresToKg,
  );
  return least <= most ? [least, most] : null;
}

/** Closeness to a score speaks of casks with that score on record only. */
function hasFigures(aim: Aim, cask: CandidateCask): boolean {
  return (
    aim.kind !== 'closeness' ||
    aim.features.every(
      (f) => f.feature !== 'score' || typeof cask.attributes[f.attribute] === 'number',
    )
  );
}

const alcohol = (c: CandidateCask): number => (c.bulkLitresAt20C * c.strengthPercentVol) / 100;
const row = (c: CandidateCask): string =>
  `${c.location!.storeCode}/${c.location!.zoneCode ?? ''}/${c.location!.row ?? ''}`;

function originsOf(cask: CandidateCask, attribute: string): [string, number][] {
  if (attribute === 'location.row') return [[row(cask), 1]];
  const value = cask.attributes[attribute];
  if (value === undefined) return [];
  return typeof value === 'object' ? Object.entries(value) : [[String(value), 1]];
}

function matching(cask: CandidateCask, attribute: string, among: ValueMatch): number {
  return originsOf(cask, attribute).reduce((sum, [value, share]) => {
    const listed = among.values?.map(String).includes(value) ?? false;
    const ranged =
      (among.from !== undefined || among.to !== undefined) &&
      Number(value) >= (among.from ?? -Infinity) &&
      Number(value) <= (among.to ?? Infinity);
    return sum + (listed || ranged ? share : 0);
  }, 0);
}

function weighted(
  casks: readonly CandidateCask[],
  of: 'lpa' | 'bulk',
  figure: (c: CandidateCask) => number,
): number {
  const amount = (c: CandidateCask): number => (of === 'lpa' ? alcohol(c) : c.bulkLitresAt20C);
  const total = casks.reduce((sum, c) => sum + amount(c), 0);
  return casks.reduce((sum, c) => sum + amount(c) * figure(c), 0) / total;
}

function within(value: number, low?: number, high?: number): boolean {
  const slack = SLACK * Math.max(1, Math.abs(value));
  return value >= (low ?? -Infinity) - slack && value <= (high ?? Infinity) + slack;
}

function distinct(casks: readonly CandidateCask[], attribute: string): Map<string, number> {
  const sums = new Map<string, number>();
  for (const c of casks)
    for (const [value, share] of originsOf(c, attribute))
      if (share > 0) sums.set(value, (sums.get(value) ?? 0) + share * alcohol(c));
  return sums;
}

/** Every wish about the casks; the windows of the vat are `waterRange`'s business. */
function holds(wish: Wish, casks: readonly CandidateCask[]): boolean {
  const has = (id: string): boolean => casks.some((c) => c.id === id);
  switch (wish.kind) {
    case 'volume':
    case 'strength':
    case 'water':
      return true;
    case 'take':
      return wish.mode !== 'part';
    case 'age':
      return casks.every((c) => within(c.ageYears, wish.leastYears, wish.mostYears));
    case 'cask-strength':
      return casks.every((c) =>
        within(c.strengthPercentVol, wish.leastPercentVol, wish.mostPercentVol),
      );
    case 'mean-age':
      return within(
        weighted(casks, 'lpa', (c) => c.ageYears),
        wish.leastYears,
        wish.mostYears,
      );
    case 'share':
      return within(
        weighted(casks, wish.of, (c) => matching(c, wish.attribute, wish.among)),
        wish.floor,
        wish.cap,
      );
    case 'each-share': {
      const values = new Set(casks.flatMap((c) => originsOf(c, wish.attribute).map(([v]) => v)));
      return [...values].every((v) =>
        within(
          weighted(casks, wish.of, (c) => matching(c, wish.attribute, { values: [v] })),
          undefined,
          wish.cap,
        ),
      );
    }
    case 'distinct': {
      const sums = [...distinct(casks, wish.attribute).values()];
      const total = casks.reduce((sum, c) => sum + alcohol(c), 0);
      const counted = sums.filter((s) => s >= ((wish.leastShareOfLpa ?? 0) - SLACK) * total).length;
      return counted >= (wish.atLeast ?? 0) && sums.length <= (wish.atMost ?? Infinity);
    }
    case 'only':
      return casks.every((c) => matching(c, wish.attribute, wish.among) > 1 - 1e-9);
    case 'none':
      return casks.every((c) => matching(c, wish.attribute, wish.among) < 1e-9);
    case 'include':
      return wish.caskIds.every(has);
    case 'exclude':
      return !wish.caskIds.some(has);
    case 'differ':
      return wish.caskIds.filter((id) => !has(id)).length >= wish.byAtLeast;
    case 'holds':
      return casks.every((c) => (c.holds ?? []).every((hold) => wish.admit.includes(hold)));
    case 'score':
      return (
        casks.every((c) => typeof c.attributes[wish.attribute] === 'number') &&
        within(
          weighted(casks, wish.of, (c) => c.attributes[wish.attribute] as number),
          wish.low,
          wish.high,
        )
      );
    case 'cask-count':
      return within(casks.length, wish.atLeast, wish.atMost);
    case 'row-count':
      return within(new Set(casks.map(row)).size, wish.atLeast, wish.atMost);
    case 'budget':
      return within(
        casks.reduce((sum, c) => sum + alcohol(c) * c.costPerLitrePureAlcohol, 0),
        undefined,
        wish.mostCost,
      );
  }
}

/** What an aim makes of a plan; less is better. */
function worth(
  aim: Aim,
  problem: BlendProblem,
  casks: readonly CandidateCask[],
  liquid: Liquid,
  waterKg: number,
): number {
  const sum = (of: (c: CandidateCask) => number): number => casks.reduce((s, c) => s + of(c), 0);
  const volume = problem.wishes.find((w) => w.kind === 'volume')!;
  const strength = problem.wishes.find((w) => w.kind === 'strength')!;
  const litres = volume.targetLitresAt20C ?? (volume.lowLitresAt20C + volume.highLitresAt20C) / 2;
  const percent =
    strength.targetPercentVol ?? (strength.lowPercentVol + strength.highPercentVol) / 2;
  switch (aim.kind) {
    case 'cost':
      return (
        sum((c) => alcohol(c) * c.costPerLitrePureAlcohol) +
        ((aim.waterCostPerLitre ?? 0) * waterKg * 1000) / waterDensity20C
      );
    case 'future':
      return sum((c) => c.valueLeftBehind ?? 0);
    case 'at-risk':
      return -sum((c) => (c.atRisk ?? 0) * alcohol(c));
    case 'movements':
      return (aim.perCask ?? 1) * casks.length + (aim.perRow ?? 0) * new Set(casks.map(row)).size;
    case 'heels':
      return 0;
    case 'closeness':
      return aim.features.reduce((total, f) => {
        const off = sum(
          (c) =>
            (f.of === 'lpa' ? alcohol(c) : c.bulkLitresAt20C) *
            ((f.feature === 'score'
              ? (c.attributes[f.attribute] as number)
              : matching(c, f.attribute, f.among)) -
              f.target),
        );
        const reference = f.of === 'lpa' ? (litres * percent) / 100 : litres;
        return total + Math.abs(off) / (f.scale * reference);
      }, 0);
    case 'target': {
      const vat = volumeOfLiquid({ ...liquid, waterKg: liquid.waterKg + waterKg });
      return (
        aim.perLitre * Math.abs(vat.bulkLitresAt20C - litres) +
        aim.perPercentVol * Math.abs(vat.strengthPercentVol - percent)
      );
    }
  }
}
