/**
 * Seeded synthetic stocks and blends for measuring the planner. Invented, but with the grain of a
 * real stock: casks come in lots, lots share a harvest and a wood policy, strength and litres fall
 * with age, cost rises with age and wood, rows of 25 hold mostly one or two lots.
 */
import type { BlendProblem, CandidateCask, Wish } from '@rundlet/blending';

export type BlendFamily = 'water' | 'natural' | 'rows';

/** mulberry32: 32 bits of state, good enough to lay out casks, the same everywhere. */
export function seededRandom(seed: number): () => number {
  let state = seed >>> 0;
  return () => {
    state = (state + 0x6d2b79f5) >>> 0;
    let t = state;
    t = Math.imul(t ^ (t >>> 15), t | 1);
    t ^= t + Math.imul(t ^ (t >>> 7), t | 61);
    return ((t ^ (t >>> 14)) >>> 0) / 4294967296;
  };
}

const KINDS = [
  { kind: 'barrel', litres: 195, weight: 0.45 },
  { kind: 'hogshead', litres: 240, weight: 0.3 },
  { kind: 'barrique', litres: 222, weight: 0.15 },
  { kind: 'puncheon', litres: 480, weight: 0.1 },
] as const;

const CONTENTS = [
  { contents: 'bourbon', weight: 0.52, premium: 0 },
  { contents: 'refill', weight: 0.2, premium: -1.2 },
  { contents: 'red wine', weight: 0.14, premium: 2.6 },
  { contents: 'oloroso', weight: 0.09, premium: 5.5 },
  { contents: 'new oak', weight: 0.05, premium: 1.8 },
] as const;

export function stock(count: number, seed: number): CandidateCask[] {
  const random = seededRandom(seed);
  const normal = (): number =>
    Math.sqrt(-2 * Math.log(1 - random())) * Math.cos(2 * Math.PI * random());
  const pick = <T extends { weight: number }>(list: readonly T[]): T => {
    let at = random();
    for (const item of list) if ((at -= item.weight) < 0) return item;
    return list[list.length - 1]!;
  };
  const casks: CandidateCask[] = [];
  for (let lot = 0; casks.length < count; lot++) {
    const size = 4 + Math.floor(random() * Math.min(70, 4 + count / 15));
    const age = 3 + random() ** 1.5 * 15;
    const plots = Array.from({ length: 1 + Math.floor(random() * 3) }, () =>
      Math.floor(random() * 24),
    );
    const lotCost = 6.5 + 1.15 * age + 1.2 * normal();
    const fruit = 5 + 1.3 * normal();
    const smoke = 2 + 1.2 * normal();
    const shareEach = new Map<string, number>();
    for (const plot of plots)
      shareEach.set(`plot ${plot}`, (shareEach.get(`plot ${plot}`) ?? 0) + 1 / plots.length);
    for (let k = 0; k < size && casks.length < count; k++) {
      const { kind, litres } = pick(KINDS);
      const { contents, premium } = pick(CONTENTS);
      const fill = contents === 'new oak' ? 1 : 1 + Math.floor(random() * 3);
      const left = Math.exp(-0.019 * age * (1 + 0.25 * normal()));
      const index = casks.length;
      const row = Math.floor(index / (count <= 200 ? 8 : 25));
      casks.push({
        id: `HP-${String(index + 1).padStart(6, '0')}`,
        bulkLitresAt20C: round(litres * left * (1 + 0.02 * normal()), 1),
        strengthPercentVol: round(63.5 - 0.42 * age + 0.9 * normal(), 2),
        ageYears: round(age, 2),
        attributes: {
          kind,
          contents,
          fill,
          lot: `lot ${lot}`,
          plots: Object.fromEntries(shareEach),
          fruit: round(Math.min(10, Math.max(0, fruit + 0.8 * normal() - 0.3 * (fill - 1))), 1),
          smoke: round(Math.min(10, Math.max(0, smoke + 0.6 * normal())), 1),
        },
        location: {
          storeCode: `S${Math.floor(row / 400)}`,
          zoneCode: `Z${Math.floor(row / 40) % 10}`,
          row: String(row),
        },
        costPerLitrePureAlcohol: round(
          Math.max(3, lotCost + premium - 0.7 * (fill - 1) + 0.5 * normal()),
          2,
        ),
        valueLeftBehind: round(litres * Math.max(0, 0.4 * (12 - age) + 2 * normal() + 3), 2),
        atRisk: random() < 0.04 ? round(random(), 2) : 0,
      });
    }
  }
  return casks;
}

const TARGETS: readonly (readonly [count: number, litres: number, rows: number])[] = [
  [100, 3_000, 5],
  [200, 4_000, 5],
  [1_000, 12_000, 6],
  [10_000, 40_000, 13],
  [100_000, 120_000, 26],
];

/** A hard blend over `count` casks: tight windows, shares, a lot cap, scores, rows, least cost. */
export function instance(family: BlendFamily, count: number, seed: number): BlendProblem {
  const casks = stock(count, seed);
  const target = TARGETS.find(([size]) => size >= count) ?? TARGETS[TARGETS.length - 1]!;
  const [, litres, rows] = target;
  const strength = family === 'natural' ? 59 : 46;
  const share = (
    id: string,
    attribute: string,
    values: (string | number)[],
    limits: { floor?: number; cap?: number },
  ): Wish => ({ id, kind: 'share', attribute, among: { values }, of: 'lpa', ...limits });
  const wishes: Wish[] = [
    {
      id: 'volume',
      kind: 'volume',
      lowLitresAt20C: litres * 0.995,
      highLitresAt20C: litres * 1.005,
    },
    {
      id: 'strength',
      kind: 'strength',
      lowPercentVol: strength - 0.05,
      highPercentVol: strength + 0.05,
    },
    { id: 'age', kind: 'age', leastYears: 4 },
    share('wine', 'contents', ['red wine'], { floor: 0.08, cap: 0.3 }),
    share('oloroso', 'contents', ['oloroso'], { floor: 0.1 }),
    share('refill', 'contents', ['refill'], { cap: 0.25 }),
    share('first fill', 'fill', [1], { floor: 0.3 }),
    { id: 'old', kind: 'share', attribute: 'old', among: { from: 10 }, of: 'lpa', floor: 0.2 },
    { id: 'lots', kind: 'each-share', attribute: 'lot', of: 'lpa', cap: count <= 200 ? 0.3 : 0.15 },
    { id: 'fruit', kind: 'score', attribute: 'fruit', of: 'lpa', low: 5, high: 6 },
    { id: 'smoke', kind: 'score', attribute: 'smoke', of: 'lpa', low: 1.5, high: 2.4 },
  ];
  if (family === 'natural') wishes.push({ id: 'water', kind: 'water', mostLitresAt20C: 0 });
  if (family === 'rows') wishes.push({ id: 'rows', kind: 'row-count', atLeast: 3, atMost: rows });
  return {
    casks: casks.map((cask) => ({
      ...cask,
      attributes: { ...cask.attributes, old: cask.ageYears },
    })),
    wishes,
    aims: [{ kind: 'cost' }],
  };
}

function round(value: number, decimals: number): number {
  const factor = 10 ** decimals;
  return Math.round(value * factor) / factor;
}
