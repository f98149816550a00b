/** Published mixing tables, plans beside the best, locks and what a litre costs. */
import { expect, test } from 'vitest';
import { massFractionFromStrength, volumeOfLiquid } from '@rundlet/alcoholometry';
import {
  blendAlternatives,
  marginalCosts,
  planBlend,
  verifyPlan,
  type BlendPlan,
  type BlendProblem,
  type CandidateCask,
} from '@rundlet/blending';
import { bruteForce } from './brute-force.ts';
import { clock, solver } from './support.ts';

const options = { solver, clock, timeLimitSeconds: 20 };

function cask(id: string, litres: number, strength: number, cost = 10): CandidateCask {
  return {
    id,
    bulkLitresAt20C: litres,
    strengthPercentVol: strength,
    ageYears: 5,
    attributes: { wood: 'oak' },
    location: { storeCode: 'A', row: id },
    costPerLitrePureAlcohol: cost,
  };
}

function planOf(problem: BlendProblem): BlendPlan {
  const result = planBlend(problem, options);
  if (!('plan' in result)) throw new Error(`${result.status}: ${result.words}`);
  expect(verifyPlan(problem, result.plan)).toMatchObject({ ok: true, faults: [] });
  return result.plan;
}

// Gay-Lussac's dilution table: litres of water to 100 litres of spirit; at 15 °C, rounded, hence 0.25 %.
test.each([
  [80, 50, 63.04],
  [80, 40, 104.01],
  [75, 55, 38.32],
  [70, 40, 77.58],
  [90, 45, 105.34],
])(
  '100 L brought from %d to %d by volume take the %d L of water of Gay-Lussac’s table',
  (from, to, water) => {
    const plan = planOf({
      casks: [cask('A', 100, from)],
      wishes: [
        { id: 'v', kind: 'volume', lowLitresAt20C: 100, highLitresAt20C: 300 },
        { id: 's', kind: 'strength', lowPercentVol: to - 1e-4, highPercentVol: to + 1e-4 },
      ],
      aims: [],
    });
    expect(Math.abs(plan.water.litresAt20C / water - 1)).toBeLessThan(2.5e-3);
  },
);

// The rule of alligation (Pearson's square), common practice; on masses it is exact: parts (p − low) to (high − p).
test('two strengths are drawn in the parts of Pearson’s square on mass', () => {
  const plan = planOf({
    casks: [cask('strong', 1000, 70), cask('weak', 1000, 40)],
    wishes: [
      { id: 'v', kind: 'volume', lowLitresAt20C: 899.9, highLitresAt20C: 900.1 },
      { id: 's', kind: 'strength', lowPercentVol: 55 - 1e-5, highPercentVol: 55 + 1e-5 },
      { id: 'w', kind: 'water', mostLitresAt20C: 0 },
      { id: 't', kind: 'take', mode: 'part' },
    ],
    aims: [],
  });
  const kg = (id: string): number => {
    const draw = plan.draws.find((d) => d.caskId === id)!;
    return draw.ethanolKg + draw.waterKg;
  };
  const [low, p, high] = [40, 55, 70].map(massFractionFromStrength) as [number, number, number];
  expect(kg('strong') / kg('weak')).toBeCloseTo((p - low) / (high - p), 4);
});

test('the vat’s litres and strength are those of its masses to 1e-6, shares to 1e-9', () => {
  const casks = [cask('A', 210.4, 58.2), cask('B', 187.1, 63.9), cask('C', 201.3, 61.1)].map(
    (c, i) => ({ ...c, attributes: { wood: i === 0 ? 'wine' : 'oak' } }),
  );
  const plan = planOf({
    casks,
    wishes: [
      { id: 'v', kind: 'volume', lowLitresAt20C: 700, highLitresAt20C: 800 },
      { id: 's', kind: 'strength', lowPercentVol: 46, highPercentVol: 46.1 },
      { id: 'n', kind: 'cask-count', atLeast: 3 },
    ],
    aims: [],
  });
  const vat = volumeOfLiquid(plan.vat);
  expect(Math.abs(vat.bulkLitresAt20C / plan.vat.bulkLitresAt20C - 1)).toBeLessThan(1e-6);
  expect(Math.abs(vat.strengthPercentVol - plan.vat.strengthPercentVol)).toBeLessThan(1e-6);
  const lpa = casks.map((c) => (c.bulkLitresAt20C * c.strengthPercentVol) / 100);
  const wine = plan.shares['wood']!.find((s) => s.value === 'wine')!.shareOfLpa;
  expect(Math.abs(wine - lpa[0]! / (lpa[0]! + lpa[1]! + lpa[2]!))).toBeLessThan(1e-9);
});

const small: BlendProblem = {
  casks: Array.from({ length: 9 }, (_, i) =>
    cask(`C${i}`, 180 + ((i * 37) % 60), 55 + ((i * 17) % 9), 8 + ((i * 7) % 11)),
  ),
  wishes: [
    { id: 'v', kind: 'volume', lowLitresAt20C: 900, highLitresAt20C: 1000 },
    { id: 's', kind: 'strength', lowPercentVol: 45, highPercentVol: 47 },
  ],
  aims: [{ kind: 'cost' }],
};

test('alternatives do without casks of the best plan and are no better; a kept cask stays', () => {
  const best = planOf(small);
  const others = blendAlternatives(small, best, { ...options, count: 3, withinRelative: 1 });
  expect(others.length).toBeGreaterThan(1);
  for (const { plan, value, differentCasks } of others) {
    expect(verifyPlan(small, plan).ok).toBe(true);
    expect(differentCasks).toBeGreaterThan(0);
    expect(value).toBeGreaterThanOrEqual(best.cost * (1 - 1e-9));
  }
  const unused = small.casks.find((c) => !best.draws.some((d) => d.caskId === c.id))!;
  const kept = planOf({ ...small, locks: [{ caskId: unused.id }] });
  expect(kept.draws.map((d) => d.caskId)).toContain(unused.id);
});

test('what a litre more costs is the difference that trying every set gives', () => {
  const best = planBlend(small, options);
  if (!('plan' in best)) throw new Error(best.words);
  const [litre] = marginalCosts(
    small,
    { plan: best.plan, bound: best.levels[0]!.bound },
    { ...options, litres: 200 },
  );
  const more = bruteForce({
    ...small,
    wishes: [
      { id: 'v', kind: 'volume', lowLitresAt20C: 1100, highLitresAt20C: 1200 },
      small.wishes[1]!,
    ],
  })!;
  const expected = (more.values[0]! - bruteForce(small)!.values[0]!) / 200;
  expect(litre!.change).toBeCloseTo(expected, 6);
  expect(expected).not.toBe(0);
});
