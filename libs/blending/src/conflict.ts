import { FeasibilityTests, type Feasibility } from './feasibility.ts';
import type { PlanOptions } from './plan-blend.ts';
import type { BlendProblem } from './problem.ts';
import { leastRelaxation } from './relaxation.ts';
import type { Conflict } from './result.ts';
import type { Wish } from './wish.ts';
import { rulesOf, WHOLE_RULE_ID, type Rule } from './rules.ts';

const EXPLAIN_SECONDS = 3;
/** Of the time, for thinning the set; the rest is for the least changes. */
const THINNING_SHARE = 0.6;

/**
 * Why a problem without a plan has none: a set of rules that cannot all hold although any of them
 * can be given up to resolve it, and for each the least change of it alone that opens a plan.
 *
 * Works on rules, not on the rows of the model: a rule that only filters casks is a member like any
 * other. Casks are taken as divisible as long as that is enough to show the conflict.
 */
export function explainConflict(problem: BlendProblem, options: PlanOptions): Conflict {
  const tests = new FeasibilityTests({
    solver: options.solver,
    clock: options.clock,
    deadline: options.clock() + (options.explainSeconds ?? EXPLAIN_SECONDS),
    shouldStop: () => options.shouldStop?.() ?? false,
  });
  const rules = rulesOf(problem);
  const proof = tests.test(problem, 'relaxed');
  const divisible = proof.answer === 'no';
  const how = divisible ? 'relaxed' : 'whole';
  const { members, irreducible } = thin(problem, rules, how, tests, proof);
  const onlyBecauseWhole =
    !divisible && members.some(({ id, wish }) => id === WHOLE_RULE_ID || wish?.kind === 'take');
  // Where the time does not last for all, the wishes that say most come first.
  const relaxations = new Map(
    [...members]
      .sort((a, b) => weight(b) - weight(a))
      .map((rule) => [rule, leastRelaxation(problem, rule, tests)]),
  );
  const wishes = members.map((rule) => ({
    wishId: rule.id,
    words: rule.words,
    relaxation: relaxations.get(rule)!,
  }));
  return {
    wishes,
    irreducible,
    onlyBecauseWhole,
    words: wordsOf(wishes, irreducible, onlyBecauseWhole),
  };
}

/**
 * Deletion filter: a rule without which the rest still conflicts is not part of the reason. What
 * cannot be decided in time stays in, and the set is then not called irreducible.
 */
function thin(
  problem: BlendProblem,
  rules: readonly Rule[],
  how: 'relaxed' | 'whole',
  tests: FeasibilityTests,
  proof: Feasibility,
): { members: Rule[]; irreducible: boolean } {
  let present = problem;
  let irreducible = true;
  const members: Rule[] = [];
  let blamed = proof.answer === 'no' ? proof.blamed : null;
  // Volume and strength last: the other wishes say more about what to change.
  // Where casks count as divisible already, that they are whole is no part of the reason.
  const order = rules
    .filter(({ id }) => how === 'whole' || id !== WHOLE_RULE_ID)
    .sort((a, b) => weight(a) - weight(b));
  const deadlineShare = tests.secondsLeft * THINNING_SHARE;
  let spent = 0;
  for (const [k, rule] of order.entries()) {
    const less = rule.without(present);
    // What the last proof does not charge it does without.
    if (blamed && rule.wish && worksByRowsAlone(rule.wish) && !blamed.has(rule.id)) {
      present = less;
      continue;
    }
    const share = Math.max(0.05, (2 * (deadlineShare - spent)) / (order.length - k));
    const before = tests.secondsLeft;
    const end = tests.test(less, how, { seconds: share });
    spent += before - tests.secondsLeft;
    if (end.answer === 'no') {
      present = less;
      ({ blamed } = end);
    } else {
      members.push(rule);
      if (end.answer === 'unknown') irreducible = false;
    }
  }
  members.sort((a, b) => rules.indexOf(a) - rules.indexOf(b));
  return { members, irreducible };
}

/** Rules tried first are dropped first, so those that say least come first. */
function weight({ wish, id }: Rule): number {
  if (id === WHOLE_RULE_ID || wish?.kind === 'take') return 0;
  if (wish?.kind === 'strength') return 1;
  if (wish?.kind === 'volume') return 2;
  return wish?.firm ? 4 : 3;
}

function wordsOf(
  wishes: Conflict['wishes'],
  irreducible: boolean,
  onlyBecauseWhole: boolean,
): string {
  const count = wishes.length;
  if (count === 0) return 'The wishes cannot all hold.';
  if (count === 1) return `This alone cannot be met: ${wishes[0]!.words}.`;
  const list = wishes.map(({ words }) => words).join('; ');
  const whole = onlyBecauseWhole ? ' Parts of casks would work; whole casks do not.' : '';
  return irreducible
    ? `These ${count} wishes cannot all hold${givesWay(wishes)}: ${list}.${whole}`
    : `The reason lies among these ${count} wishes: ${list}.${whole}`;
}

/** The set comes from dropping wishes one by one, so another conflict may stand beside it: each was tried with all else kept. */
function givesWay(wishes: Conflict['wishes']): string {
  const kinds = wishes.map(({ relaxation }) => relaxation.kind);
  if (kinds.every((kind) => kind === 'change' || kind === 'drop'))
    return ', and without any one of them there is a plan';
  return kinds.includes('not-enough') ? ', and other wishes conflict as well' : '';
}

const BY_ROWS_ALONE: ReadonlySet<Wish['kind']> = new Set([
  'mean-age',
  'share',
  'each-share',
  'distinct',
  'differ',
  'score',
  'cask-count',
  'row-count',
  'budget',
]);

/**
 * Whether a wish works through rows of the model alone. Others filter casks or limit a column, as volume
 * and strength limit the totals, and no row tells that a proof leans on them.
 */
function worksByRowsAlone({ kind }: Wish): boolean {
  return BY_ROWS_ALONE.has(kind);
}
