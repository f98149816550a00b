/** Code 39 rows. */
import { Code39Reader, type BitArray, type Result } from '@zxing/library';
import type { Runs } from './runs.ts';

/** The asterisk that starts and ends a symbol (ISO/IEC 16388): which of its nine runs are wide. */
const WIDE = [1, 4, 6];
const RUNS = 9;
/** Three characters between asterisks, the shortest symbol that means anything: 5 × 9 runs and 4 gaps. */
const LEAST_RUNS = 5 * RUNS + 4;

export class PatientCode39Reader extends Code39Reader {
  /** The Code 39 along the row, asked of the library only where an asterisk stands: its misses are costly exceptions. */
  readOne(rowNumber: number, row: BitArray, runs: Runs, hints: Map<never, unknown>): Result[] {
    if (runs.count < LEAST_RUNS || !hasAsterisk(runs)) return [];
    try {
      return [this.decodeRow(rowNumber, row, hints as never)];
    } catch {
      return [];
    }
  }
}

function hasAsterisk({ edges, count }: Runs): boolean {
  for (let index = 0; index + LEAST_RUNS <= count; index += 2) {
    const start = edges[index] as number;
    const width = (edges[index + RUNS] as number) - start;
    const quiet = index === 0 ? start : start - (edges[index - 1] as number);
    if (quiet < Math.min(width / 2, start)) continue;
    let widestNarrow = 0;
    let narrowestWide = Infinity;
    for (let run = 0; run < RUNS; run++) {
      const length = (edges[index + run + 1] as number) - (edges[index + run] as number);
      if (WIDE.includes(run)) narrowestWide = Math.min(narrowestWide, length);
      else widestNarrow = Math.max(widestNarrow, length);
    }
    if (narrowestWide > widestNarrow) return true;
  }
  return false;
}
