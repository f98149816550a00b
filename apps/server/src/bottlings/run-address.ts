import type { BottlingRun } from '@rundlet/contracts';
import { buildDigitalLink } from '@rundlet/identifiers';

/** GS1 General Specifications: a batch or lot number, AI (10), has at most 20 characters. */
const LONGEST_BATCH = 20;

/** Where the label's code leads: a GS1 Digital Link where the bottle has a GTIN, else a plain address. */
export function runAddress({ gtin, code }: BottlingRun, origin: string): string {
  if (gtin !== null && code.length <= LONGEST_BATCH)
    return buildDigitalLink(origin, [
      { ai: '01', value: gtin },
      { ai: '10', value: code },
    ]);
  return `${origin}/b/${encodeURIComponent(code)}`;
}
