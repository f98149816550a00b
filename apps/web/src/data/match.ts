import type { ScanAnswer } from '@rundlet/contracts';

type Match = ScanAnswer['matches'][number];

/** The page of what a scan found. */
export function pathOfMatch(match: Pick<Match, 'kind' | 'id'>): string {
  const base = { cask: '/casks/', position: '/positions/', sample: '/samples/', vat: '/vats/' };
  return base[match.kind] + match.id;
}
