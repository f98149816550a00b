/**
 * Code 128 rows, with the search for the start pattern mended.
 *
 * The library's own search drops two of its six run counters after each miss and never gets them back, so any dark run before the
 * start pattern spoils the row. Here the start is searched over all runs of the row, and the library is given the row with
 * everything before a plausible start wiped white: its search then meets the start pattern first.
 */
import { Code128Reader, type BitArray, type Result } from '@zxing/library';
import type { Runs } from './runs.ts';

/** ISO/IEC 15417 start patterns A, B and C: bar, space, bar … in modules, eleven together. */
const STARTS: readonly (readonly number[])[] = [
  [2, 1, 1, 4, 1, 2],
  [2, 1, 1, 2, 1, 4],
  [2, 1, 1, 2, 3, 2],
];
const START_MODULES = 11;
/** The library's own bounds, so that it is not asked in vain: how far one run may be off, and all together, in modules. */
const RUN_TOLERANCE = 0.7;
const SUM_TOLERANCE = 0.25 * START_MODULES;

export class MendedCode128Reader extends Code128Reader {
  /** Every Code 128 that can be read along the row, left to right. */
  readAll(rowNumber: number, row: BitArray, runs: Runs, hints: Map<never, unknown>): Result[] {
    const found: Result[] = [];
    let from = 0;
    for (const start of plausibleStarts(runs)) {
      if (start < from) continue;
      try {
        const result = this.decodeRow(rowNumber, wipedBefore(row, start), hints as never);
        found.push(result);
        from = result.getResultPoints()[1]?.getX() ?? start;
      } catch {
        // Not a start after all, or a damaged symbol: the next one may do.
      }
    }
    return found;
  }
}

function* plausibleStarts({ edges, count }: Runs): Generator<number> {
  const edge = (index: number): number => edges[index] as number;
  // A symbol has at least start, one character, check and stop: 3 × 6 + 7 runs.
  for (let index = 0; index + 25 <= count; index += 2) {
    const start = edge(index);
    const width = edge(index + 6) - start;
    const quiet = index === 0 ? start : start - edge(index - 1);
    if (quiet < Math.min(width / 2, start)) continue;
    const module = width / START_MODULES;
    if (STARTS.some((pattern) => matches(pattern, edges, index, module))) yield start;
  }
}

function matches(
  pattern: readonly number[],
  edges: Int32Array,
  index: number,
  module: number,
): boolean {
  let sum = 0;
  for (let run = 0; run < 6; run++) {
    const length = (edges[index + run + 1] as number) - (edges[index + run] as number);
    const off = Math.abs(length / module - (pattern[run] as number));
    if (off > RUN_TOLERANCE) return false;
    sum += off;
  }
  return sum < SUM_TOLERANCE;
}

function wipedBefore(row: BitArray, start: number): BitArray {
  const copy = row.clone();
  const words = copy.getBitArray();
  const word = start >> 5;
  words.fill(0, 0, word);
  words[word] = (words[word] as number) & (-1 << (start & 31));
  return copy;
}
