import { scoreOf, shareMatching } from './attribute.ts';
import type { CandidateCask } from './candidate.ts';
import type { BlendProblem } from './problem.ts';
import type { Wish } from './wish.ts';

/** Stands for the holds of casks when the problem has no wish about them. */
export const HOLDS_RULE_ID = 'holds';

/** A rule that keeps single casks out, whatever the rest of the blend. */
export interface CaskFilter {
  /** Id of the wish, or `HOLDS_RULE_ID`, or `aim:closeness`. */
  readonly wishId: string;
  readonly admits: (cask: CandidateCask) => boolean;
}

/** The rules of a problem that look at one cask at a time. */
export function caskFilters(problem: BlendProblem): CaskFilter[] {
  const filters: CaskFilter[] = [];
  const add = (wishId: string, admits: (cask: CandidateCask) => boolean): void => {
    filters.push({ wishId, admits });
  };
  if (!problem.wishes.some((w) => w.kind === 'holds'))
    add(HOLDS_RULE_ID, (cask) => !cask.holds?.length);
  for (const wish of problem.wishes) {
    const admits = admittedBy(wish);
    if (admits) add(wish.id, admits);
  }
  for (const aim of problem.aims) {
    if (aim.kind !== 'closeness') continue;
    const scores = aim.features.filter((f) => f.feature === 'score').map((f) => f.attribute);
    if (scores.length > 0)
      add('aim:closeness', (cask) => scores.every((name) => scoreOf(cask, name) !== undefined));
  }
  return filters;
}

function admittedBy(wish: Wish): ((cask: CandidateCask) => boolean) | null {
  switch (wish.kind) {
    case 'age':
      return ({ ageYears }) =>
        ageYears >= (wish.leastYears ?? 0) && ageYears <= (wish.mostYears ?? Infinity);
    case 'cask-strength':
      return ({ strengthPercentVol }) =>
        strengthPercentVol >= (wish.leastPercentVol ?? 0) &&
        strengthPercentVol <= (wish.mostPercentVol ?? 100);
    case 'only':
      return (cask) => shareMatching(cask, wish.attribute, wish.among) >= 1 - 1e-9;
    case 'none':
      return (cask) => shareMatching(cask, wish.attribute, wish.among) <= 1e-9;
    case 'exclude': {
      const out = new Set(wish.caskIds);
      return (cask) => !out.has(cask.id);
    }
    case 'holds': {
      const admitted = new Set(wish.admit);
      return (cask) => (cask.holds ?? []).every((hold) => admitted.has(hold));
    }
    case 'score':
      return (cask) => scoreOf(cask, wish.attribute) !== undefined;
    default:
      return null;
  }
}

/** Indices of the casks that every filter admits. */
export function eligibleCasks(problem: BlendProblem, filters = caskFilters(problem)): Int32Array {
  const kept: number[] = [];
  problem.casks.forEach((cask, i) => {
    if (filters.every((filter) => filter.admits(cask))) kept.push(i);
  });
  return Int32Array.from(kept);
}
