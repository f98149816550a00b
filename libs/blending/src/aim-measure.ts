import type { Aim, CharacterFeature } from './aim.ts';
import { targetLitres, targetStrength } from './aim-costs.ts';
import { rowKey, scoreOf, shareMatching } from './attribute.ts';
import type { MeasuredBlend } from './measure.ts';
import type { AimOutcome } from './plan.ts';
import type { BlendProblem } from './problem.ts';
import { wishOf } from './problem-check.ts';

/** What a blend makes of each aim, in the aim's own unit. */
export function aimOutcomes(problem: BlendProblem, blend: MeasuredBlend): AimOutcome[] {
  return problem.aims.map((aim) => ({
    kind: aim.kind,
    priority: aim.priority ?? 1,
    weight: aim.weight ?? 1,
    ...measureAim(aim, problem, blend),
  }));
}

/** Value of a priority level, smaller is better: what the search minimised. */
export function levelValue(outcomes: readonly AimOutcome[], priority: number): number {
  return outcomes
    .filter((outcome) => outcome.priority === priority)
    .reduce((sum, o) => sum + (o.kind === 'at-risk' ? -1 : 1) * o.weight * o.figure, 0);
}

function measureAim(
  aim: Aim,
  problem: BlendProblem,
  { draws, vat, waterLitresAt20C }: MeasuredBlend,
): { figure: number; unit: string } {
  const sum = (of: (draw: MeasuredBlend['draws'][number]) => number): number =>
    draws.reduce((total, draw) => total + of(draw), 0);
  switch (aim.kind) {
    case 'cost':
      return {
        figure:
          sum((d) => d.litresPureAlcohol * d.cask.costPerLitrePureAlcohol) +
          waterLitresAt20C * (aim.waterCostPerLitre ?? 0),
        unit: 'currency',
      };
    case 'future':
      return { figure: sum((d) => d.fraction * (d.cask.valueLeftBehind ?? 0)), unit: 'currency' };
    case 'at-risk':
      return {
        figure: sum((d) => d.litresPureAlcohol * (d.cask.atRisk ?? 0)),
        unit: 'LPA at risk',
      };
    case 'movements': {
      const rows = new Set(draws.map(({ cask }) => rowKey(cask))).size;
      return {
        figure: draws.length * (aim.perCask ?? 1) + rows * (aim.perRow ?? 0),
        unit: 'movements',
      };
    }
    case 'heels':
      return {
        figure: sum((d) => (d.fraction < 1 ? d.cask.bulkLitresAt20C - d.bulkLitresAt20C : 0)),
        unit: 'L at 20 °C',
      };
    case 'closeness':
      return {
        figure: aim.features.reduce((total, f) => total + deviation(f, problem, draws), 0),
        unit: 'scales off the character',
      };
    case 'target':
      return {
        figure:
          aim.perLitre * Math.abs(vat.bulkLitresAt20C - targetLitres(wishOf(problem, 'volume'))) +
          aim.perPercentVol *
            Math.abs(vat.strengthPercentVol - targetStrength(wishOf(problem, 'strength'))),
        unit: 'currency',
      };
  }
}

function deviation(
  feature: CharacterFeature,
  problem: BlendProblem,
  draws: MeasuredBlend['draws'],
): number {
  const litres = targetLitres(wishOf(problem, 'volume'));
  const reference =
    feature.of === 'bulk' ? litres : (litres * targetStrength(wishOf(problem, 'strength'))) / 100;
  let sum = 0;
  for (const { cask, litresPureAlcohol, bulkLitresAt20C } of draws) {
    const amount = feature.of === 'lpa' ? litresPureAlcohol : bulkLitresAt20C;
    const figure =
      feature.feature === 'score'
        ? (scoreOf(cask, feature.attribute) ?? feature.target)
        : shareMatching(cask, feature.attribute, feature.among);
    sum += amount * (figure - feature.target);
  }
  return Math.abs(sum) / (feature.scale * reference);
}
