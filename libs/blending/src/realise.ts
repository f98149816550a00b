import {
  liquidFromVolume,
  massFractionFromStrength,
  volumeOfLiquid,
  waterDensity20C,
} from '@rundlet/alcoholometry';
import { aimOutcomes } from './aim-measure.ts';
import { rowKey } from './attribute.ts';
import {
  measureHoldsRule,
  measureWish,
  sharedAttributes,
  sharesOf,
  type MeasuredBlend,
} from './measure.ts';
import type { AttributeShare, BlendPlan, PlannedDraw } from './plan.ts';
import type { BlendProblem } from './problem.ts';
import { wishedWindows, type Windows } from './formulate.ts';
import type { Stock } from './stock.ts';
import { specificVolume } from './vat-geometry.ts';

/** A draw as the search knows it. */
export interface Draw {
  readonly cask: number;
  readonly fraction: number;
  readonly whole: boolean;
}

interface Masses {
  readonly ethanolKg: number;
  readonly waterKg: number;
}

/**
 * The plan that a set of draws makes, with water as near as may be to what the model wanted, all
 * figures recomputed from masses by the density formula. Null when no amount of water brings the
 * vat into its windows: then the model's linear volume or its rounding was off.
 */
export function realise(
  problem: BlendProblem,
  stock: Stock,
  draws: readonly Draw[],
  wantedWaterKg: number,
): BlendPlan | null {
  const planned = draws.map((draw) => plannedDraw(stock, draw));
  const masses = planned.reduce<Masses>(
    (sum, d) => ({ ethanolKg: sum.ethanolKg + d.ethanolKg, waterKg: sum.waterKg + d.waterKg }),
    { ethanolKg: 0, waterKg: 0 },
  );
  const interval = waterInterval(masses, wishedWindows(problem), waterWishKg(problem));
  if (!interval) return null;
  const waterKg = Math.min(Math.max(wantedWaterKg, interval[0]), interval[1]);
  return describe(problem, stock, planned, waterKg);
}

/** Every figure of a plan from its draws and its water. */
export function describe(
  problem: BlendProblem,
  stock: Stock,
  draws: readonly PlannedDraw[],
  waterKg: number,
): BlendPlan {
  const drawn = new Set(draws.map(({ caskId }) => caskId));
  const byId = new Map(
    stock.casks.filter(({ id }) => drawn.has(id)).map((cask) => [cask.id, cask]),
  );
  const measured = draws.map((draw) => ({
    cask: byId.get(draw.caskId)!,
    fraction: draw.fraction,
    bulkLitresAt20C: draw.bulkLitresAt20C,
    litresPureAlcohol: draw.litresPureAlcohol,
  }));
  const liquid = draws.reduce<Masses>(
    (sum, d) => ({ ethanolKg: sum.ethanolKg + d.ethanolKg, waterKg: sum.waterKg + d.waterKg }),
    { ethanolKg: 0, waterKg },
  );
  const vat = { ...volumeOfLiquid(liquid), ...liquid };
  const water = { kg: waterKg, litresAt20C: (waterKg * 1000) / waterDensity20C };
  const blend: MeasuredBlend = { draws: measured, waterLitresAt20C: water.litresAt20C, vat };
  const outcomes = problem.wishes.map((wish) => measureWish(wish, blend));
  if (!problem.wishes.some((w) => w.kind === 'holds')) outcomes.push(measureHoldsRule(blend));
  const ages = measured.map(({ cask }) => cask.ageYears);
  return {
    draws,
    water,
    vat,
    ages: {
      youngestYears: ages.length ? Math.min(...ages) : 0,
      oldestYears: ages.length ? Math.max(...ages) : 0,
      meanYearsByLpa:
        vat.litresPureAlcohol > 0
          ? measured.reduce((sum, d) => sum + d.litresPureAlcohol * d.cask.ageYears, 0) /
            measured.reduce((sum, d) => sum + d.litresPureAlcohol, 0)
          : 0,
    },
    cost: measured.reduce(
      (sum, d) => sum + d.litresPureAlcohol * d.cask.costPerLitrePureAlcohol,
      0,
    ),
    shares: shareTables(blend),
    rowsOpened: [...new Set(measured.map(({ cask }) => rowKey(cask)))].sort(),
    wishes: outcomes,
    aims: aimOutcomes(problem, blend),
  };
}

export function plannedDraw(stock: Stock, draw: Draw): PlannedDraw {
  const cask = stock.casks[draw.cask]!;
  const fraction = draw.whole ? 1 : Math.min(1, Math.max(0, draw.fraction));
  const bulkLitresAt20C = cask.bulkLitresAt20C * fraction;
  const liquid = liquidFromVolume(bulkLitresAt20C, cask.strengthPercentVol);
  return {
    caskId: cask.id,
    fraction,
    whole: fraction === 1,
    bulkLitresAt20C,
    litresPureAlcohol: volumeOfLiquid(liquid).litresPureAlcohol,
    ...liquid,
    heelLitresAt20C: cask.bulkLitresAt20C - bulkLitresAt20C,
  };
}

/**
 * Added water, kg, that brings a liquid into its volume and strength windows: an interval, since
 * volume rises and strength falls with water. Null when it is empty.
 */
export function waterInterval(
  { ethanolKg, waterKg }: Masses,
  windows: Windows,
  limitsKg: readonly [number, number],
): readonly [number, number] | null {
  if (!(ethanolKg > 0)) return null;
  const waterAtStrength = (q: number): number =>
    ethanolKg * (1 / massFractionFromStrength(q) - 1) - waterKg;
  const start = -waterKg;
  const waterAtVolume = (litres: number): number => {
    const volume = (w: number): number => {
      const kg = ethanolKg + waterKg + w;
      return kg * specificVolume(ethanolKg / kg);
    };
    return rootOfRising(volume, litres, start, litres * 1.1);
  };
  const low = Math.max(
    limitsKg[0],
    waterAtStrength(windows.percentVol[1]),
    waterAtVolume(windows.litres[0]),
  );
  const high = Math.min(
    limitsKg[1],
    waterAtStrength(windows.percentVol[0]),
    waterAtVolume(windows.litres[1]),
  );
  // Plans at cask strength meet at a point: allow for the rounding of the solver's feasibility.
  const slack = 1e-8 * (ethanolKg + waterKg);
  if (low > high + slack) return null;
  if (low <= high) return [low, high];
  const least = Math.max(high, limitsKg[0]);
  return [least, least];
}

export function waterWishKg(problem: BlendProblem): readonly [number, number] {
  const wish = problem.wishes.find((w) => w.kind === 'water');
  const kgPerLitre = waterDensity20C / 1000;
  return wish
    ? [(wish.leastLitresAt20C ?? 0) * kgPerLitre, wish.mostLitresAt20C * kgPerLitre]
    : [0, Infinity];
}

/** Root of f(x) = y for rising f on [a, b], by bisection to the last bits; the ends when outside. */
function rootOfRising(f: (x: number) => number, y: number, a: number, b: number): number {
  let low = a;
  let high = b;
  for (let step = 0; step < 200; step++) {
    const middle = (low + high) / 2;
    if (middle <= low || middle >= high) break;
    if (f(middle) < y) low = middle;
    else high = middle;
  }
  return (low + high) / 2;
}

function shareTables(blend: MeasuredBlend): Record<string, AttributeShare[]> {
  const tables: Record<string, AttributeShare[]> = {};
  for (const attribute of sharedAttributes(blend.draws)) {
    const byLpa = sharesOf(blend.draws, attribute, 'lpa');
    const byBulk = sharesOf(blend.draws, attribute, 'bulk');
    tables[attribute] = [...byLpa]
      .map(([value, shareOfLpa]) => ({
        value,
        shareOfLpa,
        shareOfBulk: byBulk.get(value) ?? 0,
      }))
      .sort((a, b) => b.shareOfLpa - a.shareOfLpa || a.value.localeCompare(b.value));
  }
  return tables;
}
