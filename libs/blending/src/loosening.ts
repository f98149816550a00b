import type { BlendProblem } from './problem.ts';
import type { StrengthWish, Wish } from './wish.ts';

/** One limit of a wish and the way in which it gives. */
export interface Loosening {
  readonly limit: string;
  readonly unit: string;
  readonly from: number;
  readonly loosest: number;
  /** Only whole numbers make sense. */
  readonly whole: boolean;
  readonly at: (limit: number) => Wish;
  readonly show: (limit: number) => string;
}

const plain = (digits: number, unit: string) => (v: number) =>
  `${Number(v.toFixed(digits)).toString()} ${unit}`;
const percent = (v: number) => `${Number((100 * v).toFixed(1)).toString()} %`;

/** A strength wish is opened this far at most: much wider, and the volume is no longer linear enough to be judged. */
const WIDE_PERCENT_VOL = 10;

/** The widest window a strength wish is opened to. */
export function openedStrength({
  lowPercentVol,
  highPercentVol,
}: StrengthWish): Pick<StrengthWish, 'lowPercentVol' | 'highPercentVol'> {
  return {
    lowPercentVol: Math.max(1, lowPercentVol - WIDE_PERCENT_VOL),
    highPercentVol: Math.min(96, highPercentVol + WIDE_PERCENT_VOL),
  };
}

/** The limits of a wish that can be loosened, the one a planner would give first in front. */
export function looseningsOf(wish: Wish, problem: BlendProblem): Loosening[] {
  const stockLitres = problem.casks.reduce((sum, c) => sum + c.bulkLitresAt20C, 0);
  const out: Loosening[] = [];
  const add = (
    limit: string,
    unit: string,
    from: number | undefined,
    loosest: number,
    at: (v: number) => Wish,
    show: (v: number) => string,
    whole = false,
  ) => {
    if (from !== undefined && from !== loosest)
      out.push({ limit, unit, from, loosest, whole, at, show });
  };
  switch (wish.kind) {
    case 'volume':
      add(
        'at least',
        'L',
        wish.lowLitresAt20C,
        0.1,
        (v) => ({ ...wish, lowLitresAt20C: v }),
        plain(1, 'L'),
      );
      add(
        'at most',
        'L',
        wish.highLitresAt20C,
        stockLitres * 5,
        (v) => ({ ...wish, highLitresAt20C: v }),
        plain(1, 'L'),
      );
      break;
    case 'strength':
      add(
        'at least',
        '% vol',
        wish.lowPercentVol,
        openedStrength(wish).lowPercentVol,
        (v) => ({ ...wish, lowPercentVol: v }),
        plain(2, '% vol'),
      );
      add(
        'at most',
        '% vol',
        wish.highPercentVol,
        openedStrength(wish).highPercentVol,
        (v) => ({ ...wish, highPercentVol: v }),
        plain(2, '% vol'),
      );
      break;
    case 'age':
      add(
        'youngest',
        'years',
        wish.leastYears,
        0,
        (v) => ({ ...wish, leastYears: v }),
        plain(2, 'years'),
      );
      add(
        'oldest',
        'years',
        wish.mostYears,
        200,
        (v) => ({ ...wish, mostYears: v }),
        plain(2, 'years'),
      );
      break;
    case 'mean-age':
      add(
        'mean at least',
        'years',
        wish.leastYears,
        0,
        (v) => ({ ...wish, leastYears: v }),
        plain(2, 'years'),
      );
      break;
    case 'cask-strength':
      add(
        'at least',
        '% vol',
        wish.leastPercentVol,
        0,
        (v) => ({ ...wish, leastPercentVol: v }),
        plain(2, '% vol'),
      );
      break;
    case 'share':
      add('at most', 'share', wish.cap, 1, (v) => ({ ...wish, cap: v }), percent);
      add('at least', 'share', wish.floor, 0, (v) => ({ ...wish, floor: v }), percent);
      break;
    case 'each-share':
      add('each at most', 'share', wish.cap, 1, (v) => ({ ...wish, cap: v }), percent);
      break;
    case 'water':
      add(
        'at most',
        'L',
        wish.mostLitresAt20C,
        stockLitres * 5,
        (v) => ({ ...wish, mostLitresAt20C: v }),
        plain(1, 'L of water'),
      );
      break;
    case 'distinct':
      add(
        'at least',
        wish.attribute,
        wish.atLeast,
        0,
        (v) => ({ ...wish, atLeast: v }),
        plain(0, wish.attribute),
        true,
      );
      add(
        'at most',
        wish.attribute,
        wish.atMost,
        problem.casks.length,
        (v) => ({ ...wish, atMost: v }),
        plain(0, wish.attribute),
        true,
      );
      break;
    case 'cask-count':
      add(
        'at most',
        'casks',
        wish.atMost,
        problem.casks.length,
        (v) => ({ ...wish, atMost: v }),
        plain(0, 'casks'),
        true,
      );
      add(
        'at least',
        'casks',
        wish.atLeast,
        0,
        (v) => ({ ...wish, atLeast: v }),
        plain(0, 'casks'),
        true,
      );
      break;
    case 'row-count':
      add(
        'at most',
        'rows',
        wish.atMost,
        problem.casks.length,
        (v) => ({ ...wish, atMost: v }),
        plain(0, 'rows'),
        true,
      );
      add(
        'at least',
        'rows',
        wish.atLeast,
        0,
        (v) => ({ ...wish, atLeast: v }),
        plain(0, 'rows'),
        true,
      );
      break;
    default:
      break;
  }
  return out;
}
