import type { CandidateCask } from './candidate.ts';
import type { BlendProblem } from './problem.ts';
import type { StrengthWish, VolumeWish, Wish, WishKind } from './wish.ts';

const ONE_AT_MOST: readonly WishKind[] = ['volume', 'strength', 'water', 'take', 'holds'];

/**
 * Checks a problem at the door; inside, its figures are trusted.
 * @throws RangeError naming the cask or wish, the value and what to do.
 */
export function checkProblem(problem: BlendProblem): void {
  const ids = new Set<string>();
  for (const cask of problem.casks) {
    if (ids.has(cask.id)) throw new RangeError(`cask ${cask.id} is given twice; give it once`);
    ids.add(cask.id);
    checkCask(cask);
  }
  const wishIds = new Set<string>();
  const kinds = new Map<WishKind, number>();
  for (const wish of problem.wishes) {
    if (wishIds.has(wish.id)) throw new RangeError(`two wishes share the id ${wish.id}`);
    wishIds.add(wish.id);
    kinds.set(wish.kind, (kinds.get(wish.kind) ?? 0) + 1);
    checkWish(wish, ids);
  }
  for (const kind of ONE_AT_MOST)
    if ((kinds.get(kind) ?? 0) > 1) throw new RangeError(`more than one ${kind} wish; join them`);
  wishOf(problem, 'volume');
  wishOf(problem, 'strength');
  for (const aim of problem.aims) {
    if (!((aim.weight ?? 1) > 0)) throw new RangeError(`aim ${aim.kind}: weight must be > 0`);
    if (aim.kind === 'closeness')
      for (const f of aim.features)
        if (!(f.scale > 0))
          throw new RangeError(`closeness to ${f.attribute}: scale ${f.scale} must be > 0`);
  }
  const locked = new Set<string>();
  for (const lock of problem.locks ?? []) {
    if (!ids.has(lock.caskId)) throw new RangeError(`locked cask ${lock.caskId} is no candidate`);
    if (locked.has(lock.caskId)) throw new RangeError(`cask ${lock.caskId} is locked twice`);
    locked.add(lock.caskId);
    const litres = lock.bulkLitresAt20C;
    if (litres !== undefined && !(litres > 0))
      throw new RangeError(`locked draw of cask ${lock.caskId}: ${litres} L must be > 0`);
  }
}

/** The wish of a kind that a problem has exactly once. */
export function wishOf(problem: BlendProblem, kind: 'volume'): VolumeWish;
export function wishOf(problem: BlendProblem, kind: 'strength'): StrengthWish;
export function wishOf(problem: BlendProblem, kind: 'volume' | 'strength'): Wish {
  const wish = problem.wishes.find((w) => w.kind === kind);
  if (!wish) throw new RangeError(`the problem has no ${kind} wish; add one`);
  return wish;
}

function checkCask(cask: CandidateCask): void {
  const fail = (what: string, value: unknown, need: string): never => {
    throw new RangeError(`cask ${cask.id}: ${what} is ${String(value)}, must be ${need}`);
  };
  if (!(cask.bulkLitresAt20C > 0 && cask.bulkLitresAt20C < 1e7))
    fail('bulkLitresAt20C', cask.bulkLitresAt20C, '> 0 L');
  if (!(cask.strengthPercentVol >= 0 && cask.strengthPercentVol <= 100))
    fail('strengthPercentVol', cask.strengthPercentVol, '0…100 % vol');
  if (!(cask.ageYears >= 0 && cask.ageYears < 1000)) fail('ageYears', cask.ageYears, '≥ 0 years');
  if (!(cask.costPerLitrePureAlcohol >= 0 && cask.costPerLitrePureAlcohol < 1e9))
    fail('costPerLitrePureAlcohol', cask.costPerLitrePureAlcohol, '≥ 0 and finite');
  if (!Number.isFinite(cask.valueLeftBehind ?? 0))
    fail('valueLeftBehind', cask.valueLeftBehind, 'finite');
  const risk = cask.atRisk ?? 0;
  if (!(risk >= 0 && risk <= 1)) fail('atRisk', risk, '0…1');
  for (const [name, value] of Object.entries(cask.attributes)) {
    if (typeof value === 'number' && !Number.isFinite(value)) fail(name, value, 'finite');
    if (typeof value !== 'object') continue;
    let sum = 0;
    for (const [origin, share] of Object.entries(value)) {
      if (!(share >= 0 && share <= 1 + 1e-9)) fail(`${name} ${origin}`, share, 'a share 0…1');
      sum += share;
    }
    if (Math.abs(sum - 1) > 1e-6) fail(`the sum of ${name}`, sum, '1');
  }
}

function checkWish(wish: Wish, caskIds: ReadonlySet<string>): void {
  const fail = (what: string): never => {
    throw new RangeError(`wish ${wish.id} (${wish.kind}): ${what}`);
  };
  const ordered = (low: number | undefined, high: number | undefined, unit: string): void => {
    if (low === undefined && high === undefined) fail('give at least one limit');
    if (Number.isNaN(low) || Number.isNaN(high)) fail('a limit is not a number');
    if ((low ?? -Infinity) > (high ?? Infinity)) fail(`low ${low} is above high ${high} ${unit}`);
  };
  const share = (value: number | undefined, name: string): void => {
    if (value !== undefined && !(value >= 0 && value <= 1))
      fail(`${name} ${value} must be a share 0…1`);
  };
  const count = (value: number | undefined): void => {
    if (value !== undefined && !(Number.isInteger(value) && value >= 0))
      fail(`${value} must be a whole number ≥ 0`);
  };
  const notNegative = (value: number | undefined, unit: string): void => {
    if (value !== undefined && !(value >= 0)) fail(`${value} ${unit} must be ≥ 0`);
  };
  switch (wish.kind) {
    case 'volume':
      ordered(wish.lowLitresAt20C, wish.highLitresAt20C, 'L');
      if (!(wish.lowLitresAt20C > 0)) fail(`low ${wish.lowLitresAt20C} L must be > 0`);
      if (!(wish.highLitresAt20C < Infinity)) fail('high must be finite');
      break;
    case 'strength':
      ordered(wish.lowPercentVol, wish.highPercentVol, '% vol');
      if (!(wish.lowPercentVol > 0 && wish.highPercentVol <= 100))
        fail(`${wish.lowPercentVol}…${wish.highPercentVol} % vol must lie in 0 (excluded)…100`);
      break;
    case 'water':
      notNegative(wish.leastLitresAt20C, 'L');
      notNegative(wish.mostLitresAt20C, 'L');
      ordered(wish.leastLitresAt20C ?? 0, wish.mostLitresAt20C, 'L');
      break;
    case 'take':
      notNegative(wish.leastPartLitresAt20C, 'L');
      notNegative(wish.leastHeelLitresAt20C, 'L');
      count(wish.mostPartCasks);
      break;
    case 'age':
    case 'mean-age':
      ordered(wish.leastYears, wish.mostYears, 'years');
      break;
    case 'cask-strength':
      ordered(wish.leastPercentVol, wish.mostPercentVol, '% vol');
      break;
    case 'share':
      ordered(wish.floor, wish.cap, '');
      share(wish.floor, 'floor');
      share(wish.cap, 'cap');
      break;
    case 'each-share':
      share(wish.cap, 'cap');
      break;
    case 'distinct':
      ordered(wish.atLeast, wish.atMost, '');
      count(wish.atLeast);
      count(wish.atMost);
      share(wish.leastShareOfLpa, 'least share');
      break;
    case 'cask-count':
    case 'row-count':
      ordered(wish.atLeast, wish.atMost, '');
      count(wish.atLeast);
      count(wish.atMost);
      break;
    case 'score':
      ordered(wish.low, wish.high, '');
      break;
    case 'budget':
      notNegative(wish.mostCost, '');
      break;
    case 'include':
      for (const id of wish.caskIds) if (!caskIds.has(id)) fail(`cask ${id} is no candidate`);
      break;
    case 'differ':
      count(wish.byAtLeast);
      if (wish.byAtLeast > wish.caskIds.length)
        fail(`${wish.byAtLeast} of ${wish.caskIds.length} casks cannot stay out`);
      break;
    case 'exclude':
    case 'holds':
    case 'only':
    case 'none':
      break;
  }
}
