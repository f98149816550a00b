/**
 * Draws in part against trying every way to draw: each cask left alone, drawn in part or emptied, and for each such choice the
 * amounts by a linear program. The volume is linearised by finite differences of the density formula (OIML R 22).
 */
import fc from 'fast-check';
import { afterAll, expect, test } from 'vitest';
import { liquidFromVolume, volumeOfLiquid } from '@rundlet/alcoholometry';
import { planBlend, verifyPlan, type BlendProblem, type CandidateCask } from '@rundlet/blending';
import { clock, solver } from './support.ts';

const LEAST_LITRES = 40;
const HEEL_LITRES = 30;
const WINDOW = 0.02;

const cask = fc.record({
  litres: fc.integer({ min: 1200, max: 3000 }).map((v) => v / 10),
  strength: fc.integer({ min: 5200, max: 6600 }).map((v) => v / 100),
  wine: fc.boolean(),
  row: fc.integer({ min: 1, max: 3 }),
  cost: fc.integer({ min: 500, max: 2000 }).map((v) => v / 100),
});
const drawn = fc.record({
  casks: fc.array(cask, { minLength: 4, maxLength: 5 }),
  strength: fc.constantFrom(46, 57),
  litres: fc.integer({ min: 250, max: 700 }),
  water: fc.boolean(),
  mode: fc.constantFrom('part' as const, 'either' as const),
  floor: fc.constantFrom(0, 0.3),
  mostRows: fc.constantFrom(1, 2, 3),
  leastRows: fc.constantFrom(0, 2),
  mostCasks: fc.constantFrom(2, 9),
  mostParts: fc.constantFrom(1, 9, 9, 9),
});
type Drawn = typeof drawn extends fc.Arbitrary<infer T> ? T : never;

function problemOf(d: Drawn): BlendProblem {
  const casks: CandidateCask[] = d.casks.map((c, i) => ({
    id: `C${i}`,
    bulkLitresAt20C: c.litres,
    strengthPercentVol: c.strength,
    ageYears: 5,
    attributes: { wood: c.wine ? 'wine' : 'oak' },
    location: { storeCode: 'A', zoneCode: '1', row: String(c.row) },
    costPerLitrePureAlcohol: c.cost,
  }));
  return {
    casks,
    wishes: [
      {
        id: 'v',
        kind: 'volume',
        lowLitresAt20C: d.litres * 0.99,
        highLitresAt20C: d.litres * 1.01,
      },
      {
        id: 's',
        kind: 'strength',
        lowPercentVol: d.strength - WINDOW,
        highPercentVol: d.strength + WINDOW,
      },
      {
        id: 't',
        kind: 'take',
        mode: d.mode,
        leastPartLitresAt20C: LEAST_LITRES,
        leastHeelLitresAt20C: HEEL_LITRES,
        ...(d.mostParts < 9 && { mostPartCasks: d.mostParts }),
      },
      ...(d.water ? [] : [{ id: 'w', kind: 'water' as const, mostLitresAt20C: 0 }]),
      ...(d.floor > 0
        ? [
            {
              id: 'wine',
              kind: 'share' as const,
              attribute: 'wood',
              among: { values: ['wine'] },
              of: 'lpa' as const,
              floor: d.floor,
            },
          ]
        : []),
      ...(d.mostRows < 3 || d.leastRows > 0
        ? [
            {
              id: 'rows',
              kind: 'row-count' as const,
              atMost: Math.max(d.mostRows, d.leastRows),
              atLeast: d.leastRows,
            },
          ]
        : []),
      ...(d.mostCasks < 9
        ? [{ id: 'count', kind: 'cask-count' as const, atMost: d.mostCasks }]
        : []),
    ],
    aims: [{ kind: 'cost' }],
  };
}

/** Least cost over every choice of casks left alone, drawn in part and emptied; null when none works. */
function bestDraw(d: Drawn): number | null {
  const n = d.casks.length;
  const rows = Math.max(d.mostRows, d.leastRows);
  let best: number | null = null;
  for (let choice = 1; choice < 3 ** n; choice++) {
    const ways = d.casks.map((_, i) => Math.floor(choice / 3 ** i) % 3);
    if (d.mode === 'part' && ways.includes(2)) continue;
    const opened = d.casks.filter((_, i) => ways[i]! > 0);
    if (opened.length > d.mostCasks || ways.filter((w) => w === 1).length > d.mostParts) continue;
    const openedRows = new Set(opened.map((c) => c.row)).size;
    if ((d.mostRows < 3 || d.leastRows > 0) && (openedRows > rows || openedRows < d.leastRows))
      continue;
    const cost = leastCost(d, ways);
    if (cost !== null && (best === null || cost < best)) best = cost;
  }
  return best;
}

/** The amounts for one choice: litres drawn of each cask, and water, by a linear program of its own. */
function leastCost(d: Drawn, ways: readonly number[]): number | null {
  const one = liquidFromVolume(1, d.strength);
  const litresOf = (ethanolKg: number, waterKg: number): number =>
    volumeOfLiquid({ ethanolKg, waterKg }).bulkLitresAt20C;
  const h = 1e-4;
  const perEthanol =
    (litresOf(one.ethanolKg + h, one.waterKg) - litresOf(one.ethanolKg - h, one.waterKg)) / (2 * h);
  const perWater =
    (litresOf(one.ethanolKg, one.waterKg + h) - litresOf(one.ethanolKg, one.waterKg - h)) / (2 * h);
  const ratio = (percent: number): number => {
    const { ethanolKg, waterKg } = liquidFromVolume(1, percent);
    return ethanolKg / (ethanolKg + waterKg);
  };
  const [low, high] = [ratio(d.strength - WINDOW), ratio(d.strength + WINDOW)];
  const columns = [
    ...d.casks.map((c, i) => {
      const { ethanolKg, waterKg } = liquidFromVolume(1, c.strength);
      const alcohol = c.strength / 100;
      return {
        cost: alcohol * c.cost,
        lower: ways[i] === 0 ? 0 : ways[i] === 1 ? LEAST_LITRES : c.litres,
        upper: ways[i] === 0 ? 0 : ways[i] === 1 ? c.litres - HEEL_LITRES : c.litres,
        ethanolKg,
        waterKg,
        wine: alcohol * ((c.wine ? 1 : 0) - d.floor),
      };
    }),
    { cost: 0, lower: 0, upper: d.water ? 1e4 : 0, ethanolKg: 0, waterKg: 1, wine: 0 },
  ];
  const outcome = solver.solve(
    {
      columnCount: columns.length,
      rowCount: 4,
      columnCost: Float64Array.from(columns, (c) => c.cost),
      columnLower: Float64Array.from(columns, (c) => c.lower),
      columnUpper: Float64Array.from(columns, (c) => c.upper),
      rowLower: Float64Array.of(0, -Infinity, d.litres * 0.99, 0),
      rowUpper: Float64Array.of(Infinity, 0, d.litres * 1.01, Infinity),
      starts: Int32Array.from({ length: columns.length + 1 }, (_, j) => 4 * j),
      indices: Int32Array.from({ length: 4 * columns.length }, (_, e) => e % 4),
      values: Float64Array.from(
        columns.flatMap(({ ethanolKg, waterKg, wine }) => [
          ethanolKg - low * (ethanolKg + waterKg),
          ethanolKg - high * (ethanolKg + waterKg),
          perEthanol * ethanolKg + perWater * waterKg,
          wine,
        ]),
      ),
      integer: null,
    },
    { timeLimitSeconds: 10 },
  );
  return outcome.status === 'optimal' ? outcome.value : null;
}

const tally = { planned: 0, impossible: 0, parts: 0 };

test('finds the same least cost as trying every way to draw', () => {
  fc.assert(
    fc.property(drawn, (d) => {
      const expected = bestDraw(d);
      const problem = problemOf(d);
      const result = planBlend(problem, { solver, clock, timeLimitSeconds: 20, explain: false });
      if (expected === null) {
        tally.impossible++;
        expect(result.status).toBe('infeasible');
        return;
      }
      tally.planned++;
      expect(result.status).toBe('proven-best');
      if (result.status !== 'proven-best') return;
      expect(verifyPlan(problem, result.plan)).toMatchObject({ ok: true, faults: [] });
      if (result.plan.draws.some((draw) => !draw.whole)) tally.parts++;
      expect(Math.abs(result.levels[0]!.value - expected) / expected).toBeLessThan(3e-6);
    }),
    {
      numRuns: Number(process.env['RUNDLET_BRUTE_RUNS'] ?? 60),
      seed: Number(process.env['RUNDLET_BRUTE_SEED'] ?? 20261128),
      endOnFailure: true,
    },
  );
}, 120_000);

afterAll(() => {
  expect(tally.planned).toBeGreaterThan(10);
  expect(tally.impossible).toBeGreaterThan(5);
  expect(tally.parts).toBeGreaterThan(10);
});
