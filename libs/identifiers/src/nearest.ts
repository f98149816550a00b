/** Which existing code was probably meant by one that cannot be right. */
import { normaliseCode } from './code.ts';

/** Characters that worn print, handwriting or a hurried eye take for one another; from experience of reading, no published source. */
const LOOK_ALIKES =
  '8B 5S 2Z 0D 0Q 17 1T 6G 6B 38 CG 4A 9G 9P VY VW MN PR EF KX NH QG 7T 56 96 3E'.split(' ');
const LOOK_ALIKE_COST = 0.4;
/** `?` in what was keyed stands for a character that cannot be read any more. */
const UNREADABLE_COST = 0.3;
const SWAP_COST = 0.7;

/** Cost of reading character `b` as `a`, at 128 a + b. */
const SUBSTITUTION = new Float64Array(128 * 128).fill(1);
for (let a = 0; a < 128; a++) SUBSTITUTION[129 * a] = 0;
for (let b = 0; b < 128; b++) SUBSTITUTION[128 * '?'.charCodeAt(0) + b] = UNREADABLE_COST;
for (const pair of LOOK_ALIKES) {
  const [a, b] = [pair.charCodeAt(0), pair.charCodeAt(1)];
  SUBSTITUTION[128 * a + b] = SUBSTITUTION[128 * b + a] = LOOK_ALIKE_COST;
}

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
  const measure = distanceFrom(wanted, within);
  const near: NearCode[] = [];
  for (const code of existing) {
    const distance = measure(code);
    if (distance <= within) near.push({ code, distance });
  }
  return near.sort((a, b) => a.distance - b.distance).slice(0, limit);
}

/**
 * Edit distance from `wanted` with swaps of neighbours (optimal string alignment); Infinity once it must
 * exceed `within`. Its three rows are reused from one code to the next: stocks are large.
 */
function distanceFrom(wanted: string, within: number): (code: string) => number {
  const a = [...wanted].map(asciiOf);
  let [before, above, here] = [0, 1, 2].map(() => [] as number[]) as [number[], number[], number[]];
  return (code) => {
    const width = code.length;
    if (Math.abs(a.length - width) > within) return Infinity;
    for (let column = 0; column <= width; column++) above[column] = column;
    for (let row = 1; row <= a.length; row++) {
      const from = a[row - 1] as number;
      let least = (here[0] = row);
      for (let column = 1; column <= width; column++) {
        const to = code.charCodeAt(column - 1) & 127;
        let cost = at(above, column - 1) + (SUBSTITUTION[128 * from + to] as number);
        cost = Math.min(cost, at(above, column) + 1, at(here, column - 1) + 1);
        const swapped =
          row > 1 &&
          column > 1 &&
          from !== to &&
          a[row - 2] === to &&
          (code.charCodeAt(column - 2) & 127) === from;
        if (swapped) cost = Math.min(cost, at(before, column - 2) + SWAP_COST);
        here[column] = cost;
        if (cost < least) least = cost;
      }
      if (least > within + SWAP_COST) return Infinity;
      [before, above, here] = [above, here, before];
    }
    return at(above, width);
  };
}

const at = (row: readonly number[], index: number): number => row[index] as number;
const asciiOf = (character: string): number => character.charCodeAt(0) & 127;
