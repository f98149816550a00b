/** A row of pixels as the places where its colour changes. */
import type { BitArray } from '@zxing/library';

/** `edges[0]` is the first dark pixel, then the first light one after it, then dark … */
export interface Runs {
  readonly edges: Int32Array;
  readonly count: number;
}

export function runsOf(row: BitArray, buffer: Int32Array): Runs {
  const size = row.getSize();
  let count = 0;
  for (let at = row.getNextSet(0); at < size && count < buffer.length;) {
    buffer[count++] = at;
    at = count % 2 === 1 ? row.getNextUnset(at) : row.getNextSet(at);
  }
  return { edges: buffer, count };
}
