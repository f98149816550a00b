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
  weigh(pieces, atoms, perLitre, y);
  return at.below;
}

/** What `weigh` finds: probability below a value, and the density there. */
const at = { below: 0, density: 0 };
const PER_ROOT_2PI = 1 / Math.sqrt(2 * Math.PI);

function weigh(
  pieces: readonly Piece[],
  atoms: readonly LeakAtom[],
  perLitre: number,
  y: number,
): void {
  let below = 0;
  let density = 0;
  for (const piece of pieces) {
    let p = 0;
    let f = 0;
    for (const atom of atoms) {
      const d = y - piece.median + atom.lost * perLitre;
      const s = d < 0 ? piece.low : piece.high;
      const spread = atom.spread * perLitre;
      const widened = spread > 0 ? Math.sqrt(s * s + spread * spread) : s;
      const z = d / widened;
      const bell = Math.exp(-0.5 * z * z);
      p += atom.chance * normalBelow(z, bell);
      f += (atom.chance / widened) * bell;
    }
    below += piece.weight * p;
    density += piece.weight * f;
  }
  at.below = below;
  at.density = density * PER_ROOT_2PI;
}

/** Quantiles of the mixture, not below `floor` and not above `ceiling`. */
export function quantilesOf(
  pieces: readonly Piece[],
  atoms: readonly LeakAtom[],
  perLitre: number,
  floor: number,
  ceiling: number,
): Quantiles {
  const plain = pieces.length === 1 && (perLitre === 0 || atoms.length === 1);
  let last = NaN;
  for (let i = 0; i < LEVELS.length; i++) {
    if (plain) {
      const { median, low, high } = pieces[0]!;
      const z = LEVEL_POINTS[i]!;
      last = median + z * (z < 0 ? low : high);
    } else {
      last = solve(pieces, atoms, perLitre, i, last);
    }
    found[i] = Math.min(ceiling, Math.max(floor, last));
  }
  return { q05: found[0]!, q10: found[1]!, q50: found[2]!, q90: found[3]!, q95: found[4]! };
}

const found = new Float64Array(LEVELS.length);

/** probability within which a quantile is met */
const NEAR = 1e-4;

/** Newton's steps kept inside a shrinking bracket; `before` is the quantile of the rank below. */
function solve(
  pieces: readonly Piece[],
  atoms: readonly LeakAtom[],
  perLitre: number,
  rank: number,
  before: number,
): number {
  let a = Infinity;
  let b = -Infinity;
  let lost = 0;
  let heaviest = pieces[0]!;
  for (const atom of atoms) lost = Math.max(lost, atom.lost + 3 * atom.spread);
  for (const p of pieces) {
    a = Math.min(a, p.median - 6 * p.low - lost * perLitre);
    b = Math.max(b, p.median + 6 * p.high);
    if (p.weight > heaviest.weight) heaviest = p;
  }
  const level = LEVELS[rank]!;
  const z = LEVEL_POINTS[rank]!;
  let y = heaviest.median + z * (z < 0 ? heaviest.low : heaviest.high);
  if (before === before) {
    a = Math.max(a, before);
    if (y < a) y = a + 0.5 * heaviest.high;
  }
  for (let i = 0; i < 60 && b - a > 1e-4; i++) {
    if (!(y > a && y < b)) y = (a + b) / 2;
    weigh(pieces, atoms, perLitre, y);
    const miss = at.below - level;
    if (Math.abs(miss) < NEAR) return y;
    if (miss < 0) a = y;
    else b = y;
    y = at.density > 1e-12 ? y - miss / at.density : NaN;
  }
  return y >= a && y <= b ? y : (a + b) / 2;
}
