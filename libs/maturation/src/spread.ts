import type { Quantiles } from './types.ts';
import { LEVEL_POINTS, LEVELS, normalBelow } from './normal.ts';

/**
 * Distribution of one quantity at one date: two-piece normals (one per explanation, median kept,
 * its own spread on either side), each pushed down by what leaks still to come may cost.
 */
export interface Piece {
  weight: number;
  median: number;
  /** standard deviations below and above the median */
  low: number;
  high: number;
}

/** What a future leak may have cost by then: chances that sum to 1, the first for none. */
export interface LeakAtom {
  chance: number;
  lost: number;
  spread: number;
}

export function cumulative(
  pieces: readonly Piece[],
  atoms: readonly LeakAtom[],
  perLitre: number,
  y: number,
): number {
  let sum = 0;
  for (const piece of pieces) {
    let p = 0;
    for (const atom of atoms) {
      const d = y - piece.median + atom.lost * perLitre;
      const s = d < 0 ? piece.low : piece.high;
      const widened = atom.spread > 0 ? Math.hypot(s, atom.spread * perLitre) : s;
      p += atom.chance * normalBelow(d / widened);
    }
    sum += piece.weight * p;
  }
  return sum;
}

/** Quantiles of the mixture, not below `floor` and not above `ceiling`. */
export function quantilesOf(
  pieces: readonly Piece[],
  atoms: readonly LeakAtom[],
  perLitre: number,
  floor: number,
  ceiling: number,
): Quantiles {
  const out = LEVELS.map((level, i) => {
    if (pieces.length === 1 && (perLitre === 0 || atoms.length === 1)) {
      const { median, low, high } = pieces[0]!;
      const z = LEVEL_POINTS[i]!;
      return median + z * (z < 0 ? low : high);
    }
    return solve(pieces, atoms, perLitre, level);
  }).map((q) => Math.min(ceiling, Math.max(floor, q)));
  return { q05: out[0]!, q10: out[1]!, q50: out[2]!, q90: out[3]!, q95: out[4]! };
}

function solve(
  pieces: readonly Piece[],
  atoms: readonly LeakAtom[],
  perLitre: number,
  level: number,
): number {
  let a = Infinity;
  let b = -Infinity;
  let lost = 0;
  for (const atom of atoms) lost = Math.max(lost, atom.lost + 3 * atom.spread);
  for (const p of pieces) {
    a = Math.min(a, p.median - 6 * p.low - lost * perLitre);
    b = Math.max(b, p.median + 6 * p.high);
  }
  for (let i = 0; i < 60 && b - a > 1e-4; i++) {
    const middle = (a + b) / 2;
    if (cumulative(pieces, atoms, perLitre, middle) < level) a = middle;
    else b = middle;
  }
  return (a + b) / 2;
}
