import { caskFilters, HOLDS_RULE_ID } from './eligibility.ts';
import type { BlendProblem } from './problem.ts';
import { wishWords } from './words.ts';
import type { Wish } from './wish.ts';

/** Stands for "casks are whole" when the problem has no take wish. */
export const WHOLE_RULE_ID = 'whole';

/** A rule of the problem that might be given up: a wish, or what stands without one. */
export interface Rule {
  readonly id: string;
  readonly words: string;
  readonly wish: Wish | null;
  readonly firm: boolean;
  /** The problem without this rule. */
  readonly without: (problem: BlendProblem) => BlendProblem;
}

/** Every rule of a problem, wishes first in their order. */
export function rulesOf(problem: BlendProblem): Rule[] {
  const rules: Rule[] = problem.wishes.map((wish) => ({
    id: wish.id,
    words: wishWords(wish),
    wish,
    firm: wish.firm ?? false,
    without: (p) => withoutWish(p, wish),
  }));
  const add = (id: string, words: string, without: Rule['without']): void => {
    rules.push({ id, words, wish: null, firm: false, without });
  };
  if (!problem.wishes.some((w) => w.kind === 'take'))
    add(WHOLE_RULE_ID, 'whole casks only', (p) => ({
      ...p,
      wishes: [...p.wishes, { id: WHOLE_RULE_ID, kind: 'take', mode: 'either' }],
    }));
  if (!problem.wishes.some((w) => w.kind === 'holds') && problem.casks.some((c) => c.holds?.length))
    add(HOLDS_RULE_ID, 'no cask with a hold on it', admitAllHolds);
  if (caskFilters(problem).some((filter) => filter.wishId === 'aim:closeness'))
    add('aim:closeness', 'only casks whose character is on record', (p) => ({
      ...p,
      aims: p.aims.filter((aim) => aim.kind !== 'closeness'),
    }));
  for (const lock of problem.locks ?? [])
    add(`lock:${lock.caskId}`, `cask ${lock.caskId} kept in the plan`, (p) => ({
      ...p,
      locks: (p.locks ?? []).filter((other) => other.caskId !== lock.caskId),
    }));
  return rules;
}

function admitAllHolds(problem: BlendProblem): BlendProblem {
  const admit = [...new Set(problem.casks.flatMap((cask) => cask.holds ?? []))];
  return {
    ...problem,
    wishes: [
      ...problem.wishes.filter((w) => w.kind !== 'holds'),
      { id: HOLDS_RULE_ID, kind: 'holds', admit },
    ],
  };
}

/** Volume and strength cannot be absent, so without them their windows are as wide as can be. */
function withoutWish(problem: BlendProblem, wish: Wish): BlendProblem {
  const replace = (by: Wish): BlendProblem => ({
    ...problem,
    wishes: problem.wishes.map((w) => (w.id === wish.id ? by : w)),
  });
  switch (wish.kind) {
    case 'volume': {
      let total = 0;
      // Next to nothing in the vat would break no share by more than rounding: a cask at least.
      let least = wish.lowLitresAt20C;
      for (const { bulkLitresAt20C } of problem.casks) {
        total += bulkLitresAt20C;
        least = Math.min(least, bulkLitresAt20C);
      }
      return replace({ ...wish, lowLitresAt20C: least, highLitresAt20C: 10 * total });
    }
    case 'strength':
      return replace({ ...wish, lowPercentVol: 0.5, highPercentVol: 100 });
    case 'take':
      return replace({ id: wish.id, kind: 'take', mode: 'either' });
    case 'holds':
      return admitAllHolds(problem);
    default:
      return { ...problem, wishes: problem.wishes.filter((w) => w.id !== wish.id) };
  }
}
