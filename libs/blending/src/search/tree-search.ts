import type { LinearModel } from '../solver.ts';
import { AllowedValues } from './allowed-values.ts';
import { DualSimplex } from './dual-simplex.ts';
import { linksOf } from './link-cuts.ts';
import { NodeHeap, type Node } from './node-heap.ts';
import { PseudoCosts } from './pseudo-costs.ts';

const INTEGRALITY = 1e-7;
/** Dead ends after which a dive is given up, once there is a plan and before there is one. */
const DIVE_BACKTRACKS = 8;
const FIRST_DIVE_BACKTRACKS = 200;
const NODE_ITERATIONS = 500;

export interface TreeOptions {
  /** Nothing at or above this is wanted. */
  readonly cutoff: number;
  readonly relativeGap: number;
  readonly absoluteGap: number;
  /** Added to every value when the gap is measured: the part of the objective that is fixed. */
  readonly offset: number;
  readonly shouldStop?: () => boolean;
  readonly onPlan?: (values: Float64Array, value: number) => void;
}

/**
 * Branch and bound on a scaled model with few rows, able to pause. Dives by depth, then takes the
 * open node of least bound; reduced costs fix columns at every node; branching by reliability.
 */
export class TreeSearch {
  nodes = 0;
  readonly #model: LinearModel;
  readonly #allowed: AllowedValues;
  readonly #options: TreeOptions;
  readonly #simplex: DualSimplex;
  readonly #rootLower: Float64Array;
  readonly #rootUpper: Float64Array;
  readonly #open = new NodeHeap();
  /** Siblings left on the way of the present dive, deepest last. */
  readonly #dive: Node[] = [];
  readonly #costs: PseudoCosts;
  /** Yes/no columns that others hang on: decided first, since they decide most. */
  readonly #leading: ReadonlySet<number>;
  readonly #changed: number[] = [];
  readonly #candidates: number[] = [];
  #current: Node | null = { parent: null, column: -1, value: 0, bound: -Infinity, depth: 0 };
  #last: Node | null = null;
  #backtracks = 0;
  #best: Float64Array | null = null;
  #bestValue: number;
  #rootBound = -Infinity;
  /** Least bound of the nodes given up before they were solved: they stay unproven. */
  #leastLost = Infinity;
  #rootReduced: Float64Array | null = null;

  constructor(model: LinearModel, options: TreeOptions) {
    this.#model = model;
    this.#allowed = new AllowedValues(model);
    this.#options = options;
    this.#simplex = new DualSimplex(model, options.shouldStop);
    this.#rootLower = model.columnLower.slice();
    this.#rootUpper = model.columnUpper.slice();
    this.#costs = new PseudoCosts(model.columnCount, this.#allowed);
    this.#leading = new Set(linksOf(model).map(({ y }) => y));
    this.#bestValue = options.cutoff;
  }

  /** The best plan found by this search, in the model's (scaled) columns. */
  get best(): Float64Array | null {
    return this.#best;
  }

  /** Value of the best plan, or the cutoff. */
  get bestValue(): number {
    return this.#bestValue;
  }

  get iterations(): number {
    return this.#simplex.iterations;
  }

  /** True when nothing better than the best (within the gap) is left. */
  get finished(): boolean {
    return this.#current === null && this.#leastLost >= this.#cutoff();
  }

  /** True when there is nothing left to look at. */
  get exhausted(): boolean {
    return this.#current === null;
  }

  /** No plan is better than this; at most what was still wanted, since nothing above is looked at. */
  get bound(): number {
    return Math.min(this.#cutoff(), Math.max(this.#leastOpen(), this.#rootBound));
  }

  /** A better plan is known from elsewhere: only what beats it is of interest now. */
  offerCutoff(value: number): void {
    if (value >= this.#bestValue) return;
    this.#bestValue = value;
    this.#tightenRoot();
  }

  /** Columns that may still differ from their bound in a plan better than the best. */
  openColumns(): { lower: Float64Array; upper: Float64Array } {
    return { lower: this.#rootLower, upper: this.#rootUpper };
  }

  /** Looks at up to `most` nodes, fewer when `shouldStop` says so. */
  advance(most: number, shouldStop: () => boolean): void {
    for (let k = 0; k < most && this.#current; k++) {
      if ((k & 7) === 0 && shouldStop()) return;
      this.nodes++;
      this.#current = this.#process(this.#current) ?? this.#next();
      if (this.#leastOpen() >= this.#cutoff()) this.#current = null;
    }
  }

  /** Solves a node; returns the child to dive into, or null when the dive ends here. */
  #process(node: Node): Node | null {
    this.#enter(node);
    const cutoff = this.#cutoff();
    const end = this.#simplex.solve(cutoff, node.parent ? NODE_ITERATIONS : 100_000);
    if (end === 'infeasible' || end === 'cutoff') return null;
    const bound = Math.max(
      node.bound,
      end === 'optimal' ? this.#simplex.bound() : this.#simplex.safeBound(),
    );
    if (node.parent) this.#costs.learn(node, bound);
    else {
      this.#rootBound = bound;
      this.#rootReduced = this.#simplex.d.slice(0, this.#model.columnCount);
      if (cutoff < Infinity) this.#tightenRoot();
    }
    if (bound >= cutoff) return null;
    const fractional = this.#simplex.misplaced(this.#allowed, INTEGRALITY, this.#candidates);
    if (fractional.length === 0) {
      if (end === 'optimal') this.#accept();
      else this.#leastLost = Math.min(this.#leastLost, bound);
      return null;
    }
    this.#fixByReducedCost(bound);
    this.#simplex.settle();
    return this.#branch(node, bound, fractional, cutoff);
  }

  #branch(node: Node, bound: number, fractional: readonly number[], cutoff: number): Node {
    const leading = fractional.filter((j) => this.#leading.has(j));
    const among = leading.length > 0 ? leading : fractional;
    const { column, dead } = this.#costs.choose(among, this.#simplex, cutoff);
    const from = this.#simplex.x[column]!;
    const down = this.#allowed.below(column, from);
    const up = this.#allowed.above(column, from);
    const depth = node.depth + 1;
    const below: Node = { parent: node, column, value: down, from, bound, depth };
    const above: Node = { parent: node, column, value: up, from, bound, depth };
    if (dead) return dead === 'down' ? above : below;
    // A dive that closes values early seldom ends in a plan: they are opened first.
    const upFirst = from - down > up - from || this.#leading.has(column);
    this.#dive.push(upFirst ? below : above);
    return upFirst ? above : below;
  }

  /** Sets the bounds of a node: those of the root with the decisions on the way to it. */
  #enter(node: Node): void {
    const simplex = this.#simplex;
    if (node.parent !== this.#last) {
      for (const j of this.#changed) simplex.setBounds(j, this.#rootLower[j]!, this.#rootUpper[j]!);
      this.#changed.length = 0;
      for (let at: Node | null = node.parent; at && at.column >= 0; at = at.parent)
        this.#decide(at);
    }
    if (node.column >= 0) this.#decide(node);
    this.#last = node;
  }

  #decide({ column, value, from }: Node): void {
    const { lower, upper } = this.#simplex;
    if (value > from!)
      this.#simplex.setBounds(column, Math.max(lower[column]!, value), upper[column]!);
    else this.#simplex.setBounds(column, lower[column]!, Math.min(upper[column]!, value));
    this.#changed.push(column);
  }

  /** |d_j| > best − bound: column j keeps its bound in every better plan below this node. */
  #fixByReducedCost(bound: number): void {
    const room = this.#cutoff() - bound;
    if (room === Infinity) return;
    const { lower, upper, d } = this.#simplex;
    for (let j = 0; j < this.#model.columnCount; j++) {
      if (lower[j] === upper[j] || !this.#allowed.limits(j) || this.#simplex.isBasic(j)) continue;
      const at = d[j]! > 0 ? lower[j]! : upper[j]!;
      if (Math.abs(d[j]!) * this.#allowed.leastStep(j, at, d[j]! > 0) <= room) continue;
      this.#simplex.setBounds(j, at, at);
      this.#changed.push(j);
    }
  }

  /** The same at the root, for good, whenever a better plan is known. */
  #tightenRoot(): void {
    const reduced = this.#rootReduced;
    if (!reduced) return;
    const room = this.#cutoff() - this.#rootBound;
    for (let j = 0; j < this.#model.columnCount; j++) {
      if (!this.#allowed.limits(j)) continue;
      const d = reduced[j]!;
      const at = d > 0 ? this.#model.columnLower[j]! : this.#model.columnUpper[j]!;
      if (Math.abs(d) * this.#allowed.leastStep(j, at, d > 0) <= room) continue;
      if (d > 0) this.#rootUpper[j] = this.#rootLower[j]!;
      else this.#rootLower[j] = this.#rootUpper[j]!;
      this.#changed.push(j);
    }
    // The present node's bounds are older than this: start the next one from the root.
    this.#last = null;
  }

  /**
   * Takes the present point as a plan. Columns that are not quite where they should be are put there first
   * and the others follow: what a whole column is off by, parts of casks may have made up for.
   */
  #accept(): void {
    const simplex = this.#simplex;
    const values = simplex.x.slice(0, this.#model.columnCount);
    let off = false;
    values.forEach((x, j) => {
      values[j] = this.#allowed.nearest(j, x);
      if (Math.abs(x - values[j]) < 1e-12) return;
      simplex.setBounds(j, values[j], values[j]);
      this.#changed.push(j);
      off = true;
    });
    if (off && simplex.solve(Infinity, NODE_ITERATIONS) === 'optimal')
      values.forEach((_, j) => (values[j] = this.#allowed.nearest(j, simplex.x[j]!)));
    const value = values.reduce((sum, v, j) => sum + this.#model.columnCost[j]! * v, 0);
    if (value >= this.#bestValue) return;
    this.#best = values;
    this.#bestValue = value;
    this.#options.onPlan?.(values, value);
    this.#tightenRoot();
  }

  #cutoff(): number {
    if (this.#bestValue === Infinity) return Infinity;
    const { absoluteGap, relativeGap, offset } = this.#options;
    return (
      this.#bestValue - Math.max(absoluteGap, relativeGap * Math.abs(this.#bestValue + offset))
    );
  }

  /**
   * After a dead end: the deepest sibling of the present dive for a while, since a plan is likelier
   * near where the dive ended than at the top again; then the open node of least bound.
   */
  #next(): Node | null {
    const cutoff = this.#cutoff();
    if (this.#backtracks < (this.#best ? DIVE_BACKTRACKS : FIRST_DIVE_BACKTRACKS)) {
      for (let node = this.#dive.pop(); node; node = this.#dive.pop())
        if (node.bound < cutoff) {
          this.#backtracks++;
          return node;
        }
    }
    for (const node of this.#dive) if (node.bound < cutoff) this.#open.push(node);
    this.#dive.length = 0;
    this.#backtracks = 0;
    const node = this.#open.pop();
    return node && node.bound < cutoff ? node : null;
  }

  #leastOpen(): number {
    let least = Math.min(this.#open.least(), this.#current?.bound ?? Infinity, this.#leastLost);
    for (const node of this.#dive) least = Math.min(least, node.bound);
    return least;
  }
}
