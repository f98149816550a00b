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

/** Probability below a value. */
export function cumulative(
  pieces: readonly Piece[],
  atoms: readonly LeakAtom[],
  perLitre: number,
  y: number,
): number {
  layOut(pieces, atoms, perLitre);
  weigh(y);
  return at.below;
}

const NOTHING: Piece = { weight: 0, median: 0, low: 0, high: 0 };

/** The mixture as laid out: each piece with each leak, as two halves of a bell about a centre. */
const bells = {
  count: 0,
  chance: new Float64Array(64),
  centre: new Float64Array(64),
  /** 1 / standard deviation on either side */
  below: new Float64Array(64),
  above: new Float64Array(64),
  heaviest: NOTHING,
  /** all of it lies between */
  least: 0,
  most: 0,
};

function layOut(pieces: readonly Piece[], atoms: readonly LeakAtom[], perLitre: number): void {
  const most = pieces.length * atoms.length;
  if (bells.chance.length < most) {
    for (const key of ['chance', 'centre', 'below', 'above'] as const) {
      bells[key] = new Float64Array(2 * most);
    }
  }
  const { chance, centre, below, above } = bells;
  let n = 0;
  let lost = 0;
  for (const atom of atoms) lost = Math.max(lost, (atom.lost + 3 * atom.spread) * perLitre);
  bells.least = Infinity;
  bells.most = -Infinity;
  bells.heaviest = pieces[0]!;
  for (const piece of pieces) {
    const { weight, median, low, high } = piece;
    bells.least = Math.min(bells.least, median - 6 * low - lost);
    bells.most = Math.max(bells.most, median + 6 * high);
    if (weight > bells.heaviest.weight) bells.heaviest = piece;
    for (const atom of atoms) {
      const spread = atom.spread * perLitre;
      chance[n] = weight * atom.chance;
      centre[n] = median - atom.lost * perLitre;
      below[n] = 1 / (spread > 0 ? Math.sqrt(low * low + spread * spread) : low);
      above[n] = 1 / (spread > 0 ? Math.sqrt(high * high + spread * spread) : high);
      n++;
    }
  }
  bells.count = n;
}

/** What `weigh` finds: probability below a value, the density there, and how the density changes. */
const at = { below: 0, density: 0, slope: 0 };
/** beyond this many standard deviations a bell counts as all or nothing (1e-7) */
const FAR = 5.2;
const CELLS_PER_SD = 100;
const PER_ROOT_2PI = 1 / Math.sqrt(2 * Math.PI);
const CELLS = Math.ceil(2 * FAR * CELLS_PER_SD) + 2;
/** The normal distribution and its density from −FAR on; straight between nodes to 3e-6. */
const BELOW = new Float64Array(CELLS);
const DENSITY = new Float64Array(CELLS);
for (let i = 0; i < CELLS; i++) {
  const z = i / CELLS_PER_SD - FAR;
  const bell = Math.exp(-0.5 * z * z);
  BELOW[i] = normalBelow(z, bell);
  DENSITY[i] = bell * PER_ROOT_2PI;
}

function weigh(y: number): void {
  const { count, chance, centre, below, above } = bells;
  let p = 0;
  let density = 0;
  let slope = 0;
  for (let i = 0; i < count; i++) {
    const d = y - centre[i]!;
    const per = d < 0 ? below[i]! : above[i]!;
    const z = d * per;
    if (z > FAR) {
      p += chance[i]!;
    } else if (z > -FAR) {
      const position = (z + FAR) * CELLS_PER_SD;
      const n = position | 0;
      const s = position - n;
      p += chance[i]! * (BELOW[n]! + s * (BELOW[n + 1]! - BELOW[n]!));
      const f = chance[i]! * per * (DENSITY[n]! + s * (DENSITY[n + 1]! - DENSITY[n]!));
      density += f;
      slope -= f * z * per;
    }
  }
  at.below = p;
  at.density = density;
  at.slope = slope;
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
  if (!plain) layOut(pieces, atoms, perLitre);
  for (let i = 0; i < LEVELS.length; i++) {
    if (plain) {
      const { median, low, high } = pieces[0]!;
      const z = LEVEL_POINTS[i]!;
      last = median + z * (z < 0 ? low : high);
    } else {
      last = solve(i, last);
    }
    found[i] = Math.min(ceiling, Math.max(floor, last));
  }
  return { q05: found[0]!, q10: found[1]!, q50: found[2]!, q90: found[3]!, q95: found[4]! };
}

const found = new Float64Array(LEVELS.length);

/** probability within which a quantile is met */
const NEAR = 3e-4;

/** Halley's steps kept inside a shrinking bracket; `before` is the quantile of the rank below. */
function solve(rank: number, before: number): number {
  const level = LEVELS[rank]!;
  const z = LEVEL_POINTS[rank]!;
  const { median, low, high } = bells.heaviest;
  let a = bells.least;
  let b = bells.most;
  let y = median + z * (z < 0 ? low : high);
  if (before === before) {
    a = Math.max(a, before);
    if (y < a) y = a + 0.5 * high;
  }
  for (let i = 0; i < 60 && b - a > 1e-4; i++) {
    if (!(y > a && y < b)) y = (a + b) / 2;
    weigh(y);
    const miss = at.below - level;
    if (Math.abs(miss) < NEAR) return y;
    if (miss < 0) a = y;
    else b = y;
    const newton = miss / at.density;
    const bend = 1 - (0.5 * newton * at.slope) / at.density;
    y = at.density > 1e-12 ? y - newton / Math.min(2, Math.max(0.5, bend)) : NaN;
  }
  return y >= a && y <= b ? y : (a + b) / 2;
}
