/** Which existing code was probably meant by one that cannot be right. */
import { normaliseCode } from './code.ts';

/** Characters that worn print, handwriting or a hurried eye take for one another; from experience of reading, no published source. */
const LOOK_ALIKES = new Set(
  [
    '8B',
    '5S',
    '2Z',
    '0D',
    '0Q',
    '17',
    '1T',
    '6G',
    '6B',
    '38',
    'CG',
    '4A',
    '9G',
    '9P',
    'VY',
    'VW',
    'MN',
    'PR',
    'EF',
    'KX',
    'NH',
    'QG',
    '7T',
    '56',
    '96',
    '3E',
  ].flatMap((pair) => [pair, pair.charAt(1) + pair.charAt(0)]),
);
const LOOK_ALIKE_COST = 0.4;
/** `?` in what was keyed stands for a character that cannot be read any more. */
const UNREADABLE_COST = 0.3;
const SWAP_COST = 0.7;

export interface NearCode {
  readonly code: string;
  /** 0 means the same; 1 is one wrong character, less for look-alikes, a swap or a `?`. */
  readonly distance: number;
}

/**
 * Up to `limit` of `existing` (codes of ours), nearest first, none farther than `within`. Of equal ones the given order holds.
 * A look through a hundred thousand codes takes some tens of milliseconds.
 */
export function nearestCodes(
  bad: string,
  existing: Iterable<string>,
  { limit = 5, within = 2 }: { limit?: number; within?: number } = {},
): readonly NearCode[] {
  const wanted = normaliseCode(bad);
  const near: NearCode[] = [];
  for (const code of existing) {
    const distance = codeDistance(wanted, code, within);
    if (distance <= within) near.push({ code, distance });
  }
  return near.sort((a, b) => a.distance - b.distance).slice(0, limit);
}

/** Edit distance with swaps of neighbours (optimal string alignment); Infinity once it must exceed `within`. */
function codeDistance(wanted: string, code: string, within: number): number {
  if (Math.abs(wanted.length - code.length) > within) return Infinity;
  let before: number[] = [];
  let above = Array.from({ length: code.length + 1 }, (_, index) => index);
  for (let row = 1; row <= wanted.length; row++) {
    const here = [row];
    let least = row;
    const a = wanted.charAt(row - 1);
    for (let column = 1; column <= code.length; column++) {
      const b = code.charAt(column - 1);
      let cost = Math.min(
        at(above, column - 1) + substitution(a, b),
        at(above, column) + 1,
        at(here, column - 1) + 1,
      );
      const swapped =
        row > 1 && column > 1 && a === code.charAt(column - 2) && wanted.charAt(row - 2) === b;
      if (swapped && a !== b) cost = Math.min(cost, at(before, column - 2) + SWAP_COST);
      here.push(cost);
      least = Math.min(least, cost);
    }
    if (least > within + SWAP_COST) return Infinity;
    before = above;
    above = here;
  }
  return at(above, code.length);
}

const at = (row: readonly number[], index: number): number => row[index] as number;

function substitution(a: string, b: string): number {
  if (a === b) return 0;
  if (a === '?') return UNREADABLE_COST;
  return LOOK_ALIKES.has(a + b) ? LOOK_ALIKE_COST : 1;
}
