import type { ScanAnswer } from '@rundlet/contracts';

type Match = ScanAnswer['matches'][number];

/** The page of what a scan found. A sample bottle has no page of its own: its label can be printed again. */
export function pathOfMatch({ kind, id }: Pick<Match, 'kind' | 'id'>): string {
  switch (kind) {
    case 'cask':
      return `/casks/${id}`;
    case 'position':
      return `/positions/${id}`;
    case 'vat':
      return `/vats/${id}`;
    case 'sample':
      return `/labels?kind=sample&ids=${id}`;
  }
}
