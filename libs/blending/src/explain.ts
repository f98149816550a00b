import type { BlendProblem } from './problem.ts';
import type { Conflict, ConflictingWish, Relaxation } from './result.ts';
import type { Wish } from './wish.ts';
import { wishWords } from './words.ts';
import { looseningsOf, openedStrength, type Loosening } from './loosening.ts';

/** Whether a problem has a plan; null when the time given did not tell. */
export type Feasible = (problem: BlendProblem) => boolean | null;

/** Steps of bisection: the limit is found to a thousandth of the span looked at. */
const BISECTIONS = 10;

/**
 * Why no plan exists: an irreducible set of wishes (deletion filter: each wish is left out in turn, and stays out when the rest
 * still conflict), and for each of them the least change that, alone, opens a plan (bisection on its limit).
 */
export function explainConflict(
  problem: BlendProblem,
  feasible: Feasible,
  hasTime: () => boolean,
): Conflict {
  // The target itself is given up last: it is what the blend is for.
  const order = [...problem.wishes].sort((a, b) => rank(a) - rank(b));
  let kept = order;
  let irreducible = true;
  for (const wish of order) {
    if (!hasTime()) {
      irreducible = false;
      break;
    }
    const rest = kept.filter((w) => w !== wish);
    const without = { ...problem, wishes: onlyThese(problem, rest) };
    const rests = feasible(without);
    if (rests === false) kept = rest;
    // A question left open leaves it open whether this wish belongs to the conflict.
    if (rests === null) irreducible = false;
  }
  const wishes = kept.map((wish): ConflictingWish => ({
    wishId: wish.id,
    words: wishWords(wish),
    relaxation: relaxationOf(problem, wish, feasible, hasTime),
  }));
  const loose: BlendProblem = {
    ...problem,
    wishes: [
      ...problem.wishes.filter((w) => w.kind !== 'take'),
      { id: 'take:either', kind: 'take', mode: 'either' },
    ],
  };
  const onlyBecauseWhole = hasTime() && feasible(loose) === true;
  return {
    wishes,
    irreducible,
    onlyBecauseWhole,
    words: `No choice of casks meets ${wishes.length === 1 ? 'this wish' : 'these wishes together'}: ${wishes.map((w) => w.words).join('; ')}.${onlyBecauseWhole ? ' Part casks would work, whole ones do not.' : ''}`,
  };
}

const rank = (wish: Wish): number =>
  wish.kind === 'strength' ? 2 : wish.kind === 'volume' ? 3 : wish.kind === 'take' ? 1 : 0;

/** The problem's wishes with those not kept taken away; volume and strength are opened wide instead, for a problem needs both. */
function onlyThese(problem: BlendProblem, kept: readonly Wish[]): Wish[] {
  const stockLitres = problem.casks.reduce((sum, c) => sum + c.bulkLitresAt20C, 0);
  return problem.wishes.flatMap((wish): Wish[] => {
    if (kept.includes(wish)) return [wish];
    if (wish.kind === 'volume')
      return [{ ...wish, lowLitresAt20C: 0.1, highLitresAt20C: Math.max(1, stockLitres * 5) }];
    if (wish.kind === 'strength') return [{ ...wish, ...openedStrength(wish) }];
    if (wish.kind === 'take') return [{ ...wish, mode: 'either' }];
    return [];
  });
}

function relaxationOf(
  problem: BlendProblem,
  wish: Wish,
  feasible: Feasible,
  hasTime: () => boolean,
): Relaxation {
  if (wish.firm) return { kind: 'not-tried', words: 'held firm' };
  if (!hasTime()) return { kind: 'not-tried', words: 'the time given ran out' };
  const dropped = feasible({
    ...problem,
    wishes: onlyThese(
      problem,
      problem.wishes.filter((w) => w !== wish),
    ),
  });
  if (dropped === false)
    return {
      kind: 'not-enough',
      words: 'giving it up alone is not enough: another conflict remains',
    };
  if (dropped === null) return { kind: 'not-tried', words: 'not settled in the time given' };
  for (const loosening of looseningsOf(wish, problem)) {
    const change = leastChange(problem, wish, loosening, feasible, hasTime);
    if (change) return change;
  }
  return { kind: 'drop', words: 'opens a plan only when it is given up' };
}

/** The limit nearest to the wished one at which a plan exists; null when even the loosest does not do. */
function leastChange(
  problem: BlendProblem,
  wish: Wish,
  l: Loosening,
  feasible: Feasible,
  hasTime: () => boolean,
): Relaxation | null {
  const works = (limit: number) =>
    feasible({ ...problem, wishes: problem.wishes.map((w) => (w === wish ? l.at(limit) : w)) }) ===
    true;
  if (!works(l.loosest)) return null;
  let [no, yes] = [l.from, l.loosest];
  for (let i = 0; i < BISECTIONS && hasTime(); i++) {
    const middle = l.whole ? Math.round((no + yes) / 2) : (no + yes) / 2;
    if (middle === no || middle === yes) break;
    if (works(middle)) yes = middle;
    else no = middle;
  }
  return {
    kind: 'change',
    limit: l.limit,
    from: l.from,
    to: yes,
    unit: l.unit,
    words: `${l.limit} ${l.show(l.from)} → ${l.show(yes)}`,
    exact: true,
  };
}
