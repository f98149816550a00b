import { liquidFromVolume, volumeOfLiquid, waterDensity20C } from '@rundlet/alcoholometry';
import type { FeasibilityTests, FoundDraws } from './feasibility.ts';
import { figure, percent } from './figures.ts';
import { measureWish } from './measure.ts';
import type { BlendProblem } from './problem.ts';
import type { Relaxation } from './result.ts';
import type { Rule } from './rules.ts';
import type { Wish } from './wish.ts';

/** One limit of a wish, and the wish with that limit changed. */
interface Limit {
  readonly name: string;
  readonly value: number;
  readonly unit: string;
  /** Which way the limit moves when it gives way. */
  readonly gives: 'up' | 'down';
  readonly withLimit: (value: number) => Wish;
}

/** The least change of one rule, all others kept, that opens a plan. */
export function leastRelaxation(
  problem: BlendProblem,
  rule: Rule,
  tests: FeasibilityTests,
): Relaxation {
  if (rule.firm) return { kind: 'not-tried', words: `${rule.words}: firm, not to be relaxed` };
  const without = rule.without(problem);
  const open = decide(without, rule, tests);
  if (open === 'no')
    return { kind: 'not-enough', words: `Giving this up alone is not enough: ${rule.words}.` };
  if (open === 'unknown')
    return {
      kind: 'not-tried',
      words: `No time was left to see what this would open: ${rule.words}.`,
    };
  for (const limit of rule.wish ? limitsOf(rule.wish) : []) {
    const relaxed = isFilter(rule.wish!)
      ? byThreshold(problem, rule.wish!, limit, tests)
      : bySlack(problem, rule.wish!, limit, tests);
    if (relaxed) return relaxed;
  }
  return { kind: 'drop', words: dropWords(rule) };
}

function dropWords(rule: Rule): string {
  switch (rule.wish?.kind) {
    case undefined:
      return rule.id === 'whole' ? 'Allow parts of casks.' : `Give up: ${rule.words}.`;
    case 'take':
      return 'Allow whole casks and parts of any size.';
    default:
      return `Give up: ${rule.words}.`;
  }
}

/** Feasible with casks divisible, then with the problem's own rules about taking them. */
function decide(
  problem: BlendProblem,
  rule: Rule,
  tests: FeasibilityTests,
): 'yes' | 'no' | 'unknown' {
  const relaxed = tests.test(problem, 'relaxed').answer;
  if (relaxed !== 'yes') return relaxed;
  const seconds = Math.max(0.2, tests.secondsLeft / 3);
  const { answer } = tests.test(problem, 'whole', { seconds });
  // Where a limit can be moved, how far is worth saying though whole casks were not settled.
  return answer === 'unknown' && rule.wish && limitsOf(rule.wish).length > 0 ? 'yes' : answer;
}

function isFilter(wish: Wish): boolean {
  return wish.kind === 'age' || wish.kind === 'cask-strength';
}

/** The nearest age or strength among the casks from which on there is a plan. */
function byThreshold(
  problem: BlendProblem,
  wish: Wish,
  limit: Limit,
  tests: FeasibilityTests,
): Relaxation | null {
  const down = limit.gives === 'down';
  const values = [
    ...new Set(
      problem.casks.map((cask) => (wish.kind === 'age' ? cask.ageYears : cask.strengthPercentVol)),
    ),
  ]
    .filter((value) => (down ? value < limit.value : value > limit.value))
    .sort((a, b) => (down ? b - a : a - b));
  const opens = (index: number, how: 'relaxed' | 'whole'): boolean =>
    tests.test(withWish(problem, limit.withLimit(values[index]!)), how, {
      seconds: Math.max(0.2, tests.secondsLeft / 8),
    }).answer === 'yes';
  const first = firstThatOpens(values.length, (index) => opens(index, 'relaxed'));
  if (first === null) return null;
  // Whole casks may need a little more; from there on look in doubling steps.
  let exact = false;
  let index = first;
  for (let step = 1; index < values.length; step *= 2) {
    if (opens(index, 'whole')) {
      exact = step === 1;
      break;
    }
    if (tests.secondsLeft <= 0 || index + step >= values.length) {
      index = first;
      break;
    }
    index += step;
  }
  return changed(limit, values[index]!, exact);
}

/** Smallest index for which a rising yes/no holds, or null. */
function firstThatOpens(count: number, opens: (index: number) => boolean): number | null {
  if (count === 0 || !opens(count - 1)) return null;
  let low = -1;
  let high = count - 1;
  while (high - low > 1) {
    const middle = (low + high) >> 1;
    if (opens(middle)) high = middle;
    else low = middle;
  }
  return high;
}

/** Breaks the wish as little as possible and reads what the blend then comes to. */
function bySlack(
  problem: BlendProblem,
  wish: Wish,
  limit: Limit,
  tests: FeasibilityTests,
): Relaxation | null {
  const relaxed = tests.test(problem, 'relaxed', { slackOn: wish.id });
  if (relaxed.answer !== 'yes') return null;
  const whole = tests.test(problem, 'whole', {
    slackOn: wish.id,
    seconds: Math.max(0.2, tests.secondsLeft / 4),
  });
  const found = whole.answer === 'yes' ? whole.found : relaxed.found;
  const reached = reachedBy(problem, wish, found);
  const beyond = limit.gives === 'down' ? reached < limit.value : reached > limit.value;
  if (!beyond) return null;
  return changed(limit, reached, whole.answer === 'yes');
}

function reachedBy(problem: BlendProblem, wish: Wish, found: FoundDraws): number {
  let ethanolKg = 0;
  let waterKg = found.waterKg;
  const draws = found.fractions.map(({ cask: index, fraction }) => {
    const cask = problem.casks[index]!;
    const bulkLitresAt20C = cask.bulkLitresAt20C * fraction;
    const liquid = liquidFromVolume(bulkLitresAt20C, cask.strengthPercentVol);
    ethanolKg += liquid.ethanolKg;
    waterKg += liquid.waterKg;
    return {
      cask,
      fraction,
      bulkLitresAt20C,
      litresPureAlcohol: volumeOfLiquid(liquid).litresPureAlcohol,
    };
  });
  return measureWish(wish, {
    draws,
    waterLitresAt20C: (found.waterKg * 1000) / waterDensity20C,
    vat: { ...volumeOfLiquid({ ethanolKg, waterKg }), ethanolKg, waterKg },
  }).figure;
}

function changed(limit: Limit, reached: number, exact: boolean): Relaxation {
  const to = outward(reached, limit);
  return {
    kind: 'change',
    limit: limit.name,
    from: limit.value,
    to,
    unit: limit.unit,
    words: `${limit.name} ${say(limit.value, limit.unit)} → ${say(to, limit.unit)}`,
    exact,
  };
}

/** Rounds to what is shown, away from the old limit, so that the figure in the words suffices. */
function outward(value: number, { unit, gives }: Limit): number {
  const step =
    unit === 'share'
      ? 1e-4
      : unit === 'casks' || unit === 'rows' || unit === 'different'
        ? 1
        : 1e-2;
  const steps = value / step;
  const whole = gives === 'down' ? Math.floor(steps + 1e-6) : Math.ceil(steps - 1e-6);
  return Number((whole * step).toPrecision(12));
}

function say(value: number, unit: string): string {
  return unit === 'share' ? percent(value) : `${figure(value)} ${unit}`.trim();
}

function withWish(problem: BlendProblem, wish: Wish): BlendProblem {
  return { ...problem, wishes: problem.wishes.map((w) => (w.id === wish.id ? wish : w)) };
}

/** The limits of a wish that can be moved; wishes without any can only be dropped. */
function limitsOf(wish: Wish): Limit[] {
  const limits: Limit[] = [];
  const add = (
    name: string,
    value: number | undefined,
    unit: string,
    gives: Limit['gives'],
    withLimit: Limit['withLimit'],
  ): void => {
    if (value !== undefined && Number.isFinite(value))
      limits.push({ name, value, unit, gives, withLimit });
  };
  switch (wish.kind) {
    case 'volume':
      add('least volume', wish.lowLitresAt20C, 'L', 'down', (v) => ({
        ...wish,
        lowLitresAt20C: v,
      }));
      add('most volume', wish.highLitresAt20C, 'L', 'up', (v) => ({ ...wish, highLitresAt20C: v }));
      break;
    case 'strength':
      add('least strength', wish.lowPercentVol, '% vol', 'down', (v) => ({
        ...wish,
        lowPercentVol: v,
      }));
      add('most strength', wish.highPercentVol, '% vol', 'up', (v) => ({
        ...wish,
        highPercentVol: v,
      }));
      break;
    case 'water':
      add('most water', wish.mostLitresAt20C, 'L', 'up', (v) => ({ ...wish, mostLitresAt20C: v }));
      add('least water', wish.leastLitresAt20C, 'L', 'down', (v) => ({
        ...wish,
        leastLitresAt20C: v,
      }));
      break;
    case 'age':
    case 'mean-age':
      add('least age', wish.leastYears, 'years', 'down', (v) => ({ ...wish, leastYears: v }));
      add('most age', wish.mostYears, 'years', 'up', (v) => ({ ...wish, mostYears: v }));
      break;
    case 'cask-strength':
      add('least cask strength', wish.leastPercentVol, '% vol', 'down', (v) => ({
        ...wish,
        leastPercentVol: v,
      }));
      add('most cask strength', wish.mostPercentVol, '% vol', 'up', (v) => ({
        ...wish,
        mostPercentVol: v,
      }));
      break;
    case 'share':
      add('least share', wish.floor, 'share', 'down', (v) => ({ ...wish, floor: v }));
      add('most share', wish.cap, 'share', 'up', (v) => ({ ...wish, cap: v }));
      break;
    case 'each-share':
      add('most share of one', wish.cap, 'share', 'up', (v) => ({ ...wish, cap: v }));
      break;
    case 'distinct':
      add('at least', wish.atLeast, 'different', 'down', (v) => ({ ...wish, atLeast: v }));
      add('at most', wish.atMost, 'different', 'up', (v) => ({ ...wish, atMost: v }));
      break;
    case 'score':
      add('least score', wish.low, '', 'down', (v) => ({ ...wish, low: v }));
      add('most score', wish.high, '', 'up', (v) => ({ ...wish, high: v }));
      break;
    case 'cask-count':
      add('at least', wish.atLeast, 'casks', 'down', (v) => ({ ...wish, atLeast: v }));
      add('at most', wish.atMost, 'casks', 'up', (v) => ({ ...wish, atMost: v }));
      break;
    case 'row-count':
      add('at least', wish.atLeast, 'rows', 'down', (v) => ({ ...wish, atLeast: v }));
      add('at most', wish.atMost, 'rows', 'up', (v) => ({ ...wish, atMost: v }));
      break;
    case 'budget':
      add('budget', wish.mostCost, '', 'up', (v) => ({ ...wish, mostCost: v }));
      break;
    case 'differ':
      add('at least left alone', wish.byAtLeast, 'casks', 'down', (v) => ({
        ...wish,
        byAtLeast: v,
      }));
      break;
    default:
      break;
  }
  return limits;
}
