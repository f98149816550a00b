import type { BlendProblem } from './problem.ts';
import { between, figure, listed, percent } from './figures.ts';
import type { ShareBasis, ValueMatch, Wish } from './wish.ts';

/** The wish in words; the planner's own when given. */
export function wishWords(wish: Wish): string {
  return wish.words ?? ownWords(wish);
}

/** A rule by its id: a wish, the rule about holds, a lock, or the need of an aim. */
export function ruleWords(problem: BlendProblem, ruleId: string): string {
  const wish = problem.wishes.find((w) => w.id === ruleId);
  if (wish) return wishWords(wish);
  if (ruleId.startsWith('lock:')) return `cask ${ruleId.slice('lock:'.length)} kept in the plan`;
  if (ruleId === 'aim:closeness') return 'only casks whose character is on record';
  return 'no cask with a hold on it';
}

function ownWords(wish: Wish): string {
  switch (wish.kind) {
    case 'volume':
      return `${between(wish.lowLitresAt20C, wish.highLitresAt20C, (v) => `${figure(v)} L`)} in the vat at 20 °C`;
    case 'strength':
      return `${between(wish.lowPercentVol, wish.highPercentVol, (v) => `${figure(v, 3)} % vol`)} in the vat`;
    case 'water':
      return wish.mostLitresAt20C === 0
        ? 'no water'
        : `${between(wish.leastLitresAt20C || undefined, wish.mostLitresAt20C, (v) => `${figure(v)} L`)} of water`;
    case 'take':
      return takeWords(wish);
    case 'age':
      return `every cask ${between(wish.leastYears, wish.mostYears, (v) => `${figure(v)} years`)} old`;
    case 'mean-age':
      return `mean age ${between(wish.leastYears, wish.mostYears, (v) => `${figure(v)} years`)}`;
    case 'cask-strength':
      return `every cask ${between(wish.leastPercentVol, wish.mostPercentVol, (v) => `${figure(v)} % vol`)}`;
    case 'share':
      return `${between(wish.floor, wish.cap, percent)} of the ${basisWords(wish.of)} from ${matchWords(wish.attribute, wish.among)}`;
    case 'each-share':
      return `no ${nameOf(wish.attribute)} above ${percent(wish.cap)} of the ${basisWords(wish.of)}`;
    case 'distinct': {
      const least = wish.leastShareOfLpa
        ? `, each counting from ${percent(wish.leastShareOfLpa)} of the alcohol on`
        : '';
      return `${between(wish.atLeast, wish.atMost, String)} different by ${nameOf(wish.attribute)}${least}`;
    }
    case 'only':
      return `only casks of ${matchWords(wish.attribute, wish.among)}`;
    case 'none':
      return `no cask of ${matchWords(wish.attribute, wish.among)}`;
    case 'include':
      return `${wish.caskIds.length === 1 ? 'cask' : 'casks'} ${listed(wish.caskIds)} in the blend`;
    case 'exclude':
      return `${wish.caskIds.length === 1 ? 'cask' : 'casks'} ${listed(wish.caskIds)} left alone`;
    case 'differ':
      return `at least ${wish.byAtLeast} of ${wish.caskIds.length} casks (${listed(wish.caskIds)}) left alone`;
    case 'holds':
      return wish.admit.length === 0
        ? 'no cask with a hold on it'
        : `no cask with a hold other than ${listed(wish.admit)}`;
    case 'score':
      return `mean ${nameOf(wish.attribute)} ${between(wish.low, wish.high, figure)} by ${basisWords(wish.of)}`;
    case 'cask-count':
      return `${between(wish.atLeast, wish.atMost, String)} casks opened`;
    case 'row-count':
      return `${between(wish.atLeast, wish.atMost, String)} rows opened`;
    case 'budget':
      return `casks for at most ${figure(wish.mostCost)}`;
  }
}

function takeWords(wish: Extract<Wish, { kind: 'take' }>): string {
  if (wish.mode === 'whole') return 'whole casks only';
  const rules = [
    wish.leastPartLitresAt20C ? `a part of at least ${figure(wish.leastPartLitresAt20C)} L` : '',
    wish.leastHeelLitresAt20C ? `no heel under ${figure(wish.leastHeelLitresAt20C)} L` : '',
    wish.mostPartCasks !== undefined ? `at most ${wish.mostPartCasks} drawn in part` : '',
  ].filter((rule) => rule !== '');
  const mode = wish.mode === 'part' ? 'casks drawn in part' : 'whole casks or parts';
  return rules.length === 0 ? mode : `${mode}, ${rules.join(', ')}`;
}

function basisWords(of: ShareBasis): string {
  return of === 'lpa' ? 'alcohol' : 'litres drawn';
}

function nameOf(attribute: string): string {
  return attribute.replace('location.', '');
}

function matchWords(attribute: string, among: ValueMatch): string {
  const parts: string[] = [];
  if (among.values?.length) parts.push(listed(among.values.map(String)));
  if (among.from !== undefined || among.to !== undefined)
    parts.push(between(among.from, among.to, String));
  return `${nameOf(attribute)} ${parts.join(' or ') || '(nothing)'}`;
}
