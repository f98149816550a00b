import { liquidFromVolume, volumeOfLiquid, waterDensity20C } from '@rundlet/alcoholometry';
import { caskFilters } from './eligibility.ts';
import { measureHoldsRule, measureWish } from './measure.ts';
import type { BlendPlan } from './plan.ts';
import type { BlendProblem } from './problem.ts';
import { ruleWords } from './words.ts';

export interface PlanCheck {
  readonly ok: boolean;
  /** One sentence for each thing wrong; empty when the plan holds. */
  readonly faults: readonly string[];
  /** Largest relative difference between the plan's figures and those computed here. */
  readonly largestDifference: number;
}

/**
 * Checks a plan against its problem without the model or the solver: masses from each cask's litres
 * and strength by the density formula, sums, vat, and every wish from the draws.
 */
export function verifyPlan(problem: BlendProblem, plan: BlendPlan): PlanCheck {
  const faults: string[] = [];
  let largestDifference = 0;
  const same = (what: string, stated: number, computed: number, tolerance = 1e-9): void => {
    const difference = Math.abs(stated - computed) / Math.max(1, Math.abs(computed));
    largestDifference = Math.max(largestDifference, difference);
    if (!(difference <= tolerance))
      faults.push(`${what}: the plan says ${stated}, it comes to ${computed}`);
  };
  const casks = new Map(problem.casks.map((cask) => [cask.id, cask]));
  const filters = caskFilters(problem);
  const seen = new Set<string>();
  const draws = [];
  let ethanolKg = 0;
  let waterKg = plan.water.kg;
  for (const draw of plan.draws) {
    const cask = casks.get(draw.caskId);
    if (!cask) {
      faults.push(`cask ${draw.caskId} is no candidate`);
      continue;
    }
    if (seen.has(draw.caskId)) faults.push(`cask ${draw.caskId} is drawn twice`);
    seen.add(draw.caskId);
    if (!(draw.fraction > 0 && draw.fraction <= 1))
      faults.push(`cask ${draw.caskId}: fraction ${draw.fraction} is not in 0…1`);
    for (const filter of filters)
      if (!filter.admits(cask))
        faults.push(`cask ${draw.caskId} breaks: ${ruleWords(problem, filter.wishId)}`);
    const bulkLitresAt20C = cask.bulkLitresAt20C * draw.fraction;
    const liquid = liquidFromVolume(bulkLitresAt20C, cask.strengthPercentVol);
    ethanolKg += liquid.ethanolKg;
    waterKg += liquid.waterKg;
    const { litresPureAlcohol } = volumeOfLiquid(liquid);
    same(`litres of cask ${cask.id}`, draw.bulkLitresAt20C, bulkLitresAt20C);
    same(`alcohol of cask ${cask.id}`, draw.litresPureAlcohol, litresPureAlcohol);
    same(`ethanol of cask ${cask.id}`, draw.ethanolKg, liquid.ethanolKg);
    same(`water of cask ${cask.id}`, draw.waterKg, liquid.waterKg);
    same(`heel of cask ${cask.id}`, draw.heelLitresAt20C, cask.bulkLitresAt20C - bulkLitresAt20C);
    draws.push({ cask, fraction: draw.fraction, bulkLitresAt20C, litresPureAlcohol });
  }
  if (!(plan.water.kg >= 0)) faults.push(`water ${plan.water.kg} kg is negative`);
  same('litres of water', plan.water.litresAt20C, (1000 * plan.water.kg) / waterDensity20C);
  const vat = { ...volumeOfLiquid({ ethanolKg, waterKg }), ethanolKg, waterKg };
  for (const key of [
    'bulkLitresAt20C',
    'strengthPercentVol',
    'litresPureAlcohol',
    'ethanolKg',
    'waterKg',
  ] as const)
    same(`vat ${key}`, plan.vat[key], vat[key]);
  const blend = { draws, waterLitresAt20C: (1000 * plan.water.kg) / waterDensity20C, vat };
  const outcomes = problem.wishes.map((wish) => measureWish(wish, blend));
  if (!problem.wishes.some((w) => w.kind === 'holds')) outcomes.push(measureHoldsRule(blend));
  for (const outcome of outcomes)
    if (!outcome.met) faults.push(`not met: ${outcome.words} (${outcome.figure} ${outcome.unit})`);
  for (const lock of problem.locks ?? []) {
    const draw = draws.find(({ cask }) => cask.id === lock.caskId);
    if (!draw) faults.push(`not met: ${ruleWords(problem, `lock:${lock.caskId}`)}`);
    else
      same(
        `locked draw of cask ${lock.caskId}`,
        draw.bulkLitresAt20C,
        lock.bulkLitresAt20C ?? draw.cask.bulkLitresAt20C,
        1e-6,
      );
  }
  return { ok: faults.length === 0, faults, largestDifference };
}
