import type { AllowedValues } from './allowed-values.ts';
import type { DualSimplex } from './dual-simplex.ts';
import type { Decision } from './node-heap.ts';

const RELIABLE = 4;
const MOST_TRIALS = 8;
const LOOKAHEAD = 4;
const TRIAL_ITERATIONS = 12;
const FREE_TRIAL_ITERATIONS = 500;

export interface BranchChoice {
  readonly column: number;
  /** A child that was found to hold nothing better. */
  readonly dead: 'down' | 'up' | null;
}

/**
 * What a decision on each column has cost so far, per unit of fractionality, to choose where to
 * branch. Source: Achterberg, Koch & Martin, "Branching rules revisited" (2005): reliability
 * branching with the product score.
 */
export class PseudoCosts {
  readonly #down: Float64Array;
  readonly #up: Float64Array;
  readonly #downCount: Float64Array;
  readonly #upCount: Float64Array;
  #sum = 0;
  #count = 0;
  #trialIterations = 0;

  readonly #allowed: AllowedValues;

  constructor(columnCount: number, allowed: AllowedValues) {
    this.#allowed = allowed;
    this.#down = new Float64Array(columnCount);
    this.#up = new Float64Array(columnCount);
    this.#downCount = new Float64Array(columnCount);
    this.#upCount = new Float64Array(columnCount);
  }

  /** Takes note of how far the bound rose from a node's parent to the node. */
  learn(node: Decision, bound: number): void {
    const rise = Math.max(0, bound - node.bound);
    const distance = Math.abs(node.value - node.from!);
    if (!Number.isFinite(rise) || distance < 1e-9) return;
    this.#record(node.value > node.from! ? 'up' : 'down', node.column, rise / distance);
  }

  /**
   * The column to branch on. Columns seldom branched on are tried out: both children are solved for
   * a few iterations (strong branching), which also finds children that are dead at once.
   */
  choose(fractional: readonly number[], simplex: DualSimplex, cutoff: number): BranchChoice {
    const scored = fractional.map((column) => {
      const x = simplex.x[column]!;
      const below = this.#allowed.below(column, x);
      const above = this.#allowed.above(column, x);
      const down = (x - below) * this.#mean(this.#down, this.#downCount, column);
      const up = (above - x) * this.#mean(this.#up, this.#upCount, column);
      return { column, below, above, score: product(down, up) };
    });
    scored.sort((a, b) => b.score - a.score);
    let best = scored[0]!;
    let bestScore = -1;
    let tried = 0;
    let sinceBetter = 0;
    const bound = simplex.objective();
    for (const candidate of scored) {
      let { score } = candidate;
      const { column, below, above } = candidate;
      const known = Math.min(this.#downCount[column]!, this.#upCount[column]!);
      const affordable = this.#trialIterations < simplex.iterations / 2 + FREE_TRIAL_ITERATIONS;
      if (affordable && known < RELIABLE && tried < MOST_TRIALS && sinceBetter < LOOKAHEAD) {
        tried++;
        const before = simplex.iterations;
        const x = simplex.x[column]!;
        const down = trial(simplex, column, below, 'down', cutoff) - bound;
        if (down === Infinity) return { column, dead: 'down' };
        const up = trial(simplex, column, above, 'up', cutoff) - bound;
        this.#trialIterations += simplex.iterations - before;
        if (up === Infinity) return { column, dead: 'up' };
        this.#record('down', column, Math.max(0, down) / (x - below));
        this.#record('up', column, Math.max(0, up) / (above - x));
        score = product(down, up);
      }
      if (score > bestScore) {
        bestScore = score;
        best = candidate;
        sinceBetter = 0;
      } else sinceBetter++;
    }
    return { column: best.column, dead: null };
  }

  #record(side: 'down' | 'up', column: number, perUnit: number): void {
    this.#sum += perUnit;
    this.#count++;
    if (side === 'up') {
      this.#up[column]! += perUnit;
      this.#upCount[column]!++;
    } else {
      this.#down[column]! += perUnit;
      this.#downCount[column]!++;
    }
  }

  #mean(sum: Float64Array, count: Float64Array, column: number): number {
    if (count[column]! > 0) return sum[column]! / count[column]!;
    return this.#count > 0 ? this.#sum / this.#count : 1;
  }
}

/** Bound of a child after a few iterations; Infinity when it is dead. */
function trial(
  simplex: DualSimplex,
  column: number,
  value: number,
  side: 'down' | 'up',
  cutoff: number,
): number {
  const lower = simplex.lower[column]!;
  const upper = simplex.upper[column]!;
  simplex.save();
  if (side === 'down') simplex.setBounds(column, lower, value);
  else simplex.setBounds(column, value, upper);
  const end = simplex.solve(cutoff, TRIAL_ITERATIONS);
  const objective = simplex.objective();
  const dead = objective >= cutoff && simplex.bound() >= cutoff;
  simplex.setBounds(column, lower, upper);
  simplex.restore();
  return end === 'infeasible' || end === 'cutoff' || dead ? Infinity : objective;
}

function product(down: number, up: number): number {
  return Math.max(down, 1e-9) * Math.max(up, 1e-9);
}
