import type { LinearModel, SolveOptions, SolveOutcome } from '../solver.ts';
import { withCounts } from './counts.ts';
import { Neighbourhoods } from './neighbourhood.ts';
import { randomFrom } from './random.ts';
import { expand, reduceModel, type ReducedModel } from './reduced-model.ts';
import { tightenRoot, type TightRoot } from './root-cuts.ts';
import { scaled, type ScaledModel } from './scaling.ts';
import { TreeSearch } from './tree-search.ts';

export interface FewRowsOptions extends SolveOptions {
  /** Rounds of cuts at the root, 30 when left out. */
  readonly cutRounds?: number;
  /** Small searches around the best plan; on when left out. */
  readonly neighbourhoods?: boolean;
  /** Better plans are wanted, not bounds: look around the best plan before growing the tree. */
  readonly plansFirst?: boolean;
  /**
   * Knapsack cuts at the root, and numbers of casks to branch on: dear at every node, and worth it where the
   * bound hardly moves otherwise. Up to a few hundred casks plain branching proves in half the time.
   */
  readonly strengthened?: boolean;
  /** A bound known from elsewhere: the search may stop when it is reached within the gap. */
  readonly knownBound?: number;
}

const FIRST_PLAN_NODES = 3_000;
const NEIGHBOUR_NODES = 600;
const SLICE_NODES = 2_000;
/** Share of columns that must have dropped out before the root is tightened again. */
const RESTART_SHARE = 0.2;

/** Solves a mixed-integer model with few rows; see `DualSimplex` for why that pays. */
export function solveFewRows(
  model: LinearModel,
  options: FewRowsOptions,
  clock: () => number,
): SolveOutcome {
  return new FewRows(model, options, clock).run();
}

/** The search itself, for those who share their time among several: see `step`. */
export class FewRows {
  readonly #original: LinearModel;
  readonly #options: FewRowsOptions;
  readonly #clock: () => number;
  readonly #deadline: number;
  readonly #random: () => number;
  /** Values of the columns that have dropped out. */
  readonly #fixedAt: Float64Array;
  #reduced: ReducedModel;
  #near1: ScaledModel;
  #root!: TightRoot;
  #tree: TreeSearch | null = null;
  /** Best plan in the original's columns. */
  #best: Float64Array | null = null;
  #value: number;
  #bound = -Infinity;
  #nodes = 0;
  #around = 0;
  #size = 50;

  constructor(model: LinearModel, options: FewRowsOptions, clock: () => number) {
    this.#original = model;
    this.#options = options;
    this.#clock = clock;
    this.#deadline = clock() + options.timeLimitSeconds;
    this.#random = randomFrom(options.seed ?? 0);
    this.#value = options.cutoff ?? Infinity;
    this.#bound = options.knownBound ?? -Infinity;
    if (options.start) this.#startFrom(options.start);
    this.#fixedAt = model.columnLower.slice();
    this.#reduced = reduceModel(model);
    this.#near1 = scaled(this.#reduced.model);
  }

  run(): SolveOutcome {
    while (!this.step());
    return this.#outcome();
  }

  /** No plan is better; at most the cutoff. */
  get bound(): number {
    return Math.min(this.#bound, this.#value);
  }

  /** A better plan is known from elsewhere. */
  offerCutoff(value: number): void {
    if (value >= this.#value) return;
    this.#value = value;
    this.#best = null;
    this.#tree?.offerCutoff(value - this.#reduced.offset);
  }

  /** Does a part of the work; true when nothing is left to do. */
  step(plansFirst = this.#options.plansFirst ?? false): boolean {
    if (this.#reduced.infeasible) {
      this.#bound = this.#value;
      return true;
    }
    if (!this.#tree) {
      this.#plantTree(this.#options.cutRounds ?? 30);
      // A plan known from the start may settle much before the first branching.
      if (!this.#isOver() && this.#value < Infinity) {
        this.#grow(1);
        this.#restartIfMuchIsFixed();
      }
      if (plansFirst && this.#best && !this.#isOver()) this.#searchAround(12);
      return this.#isOver();
    }
    const known = this.#value;
    const slice = plansFirst ? SLICE_NODES / 10 : SLICE_NODES;
    this.#grow(this.#value < Infinity ? slice : FIRST_PLAN_NODES);
    if (this.#best && this.#options.neighbourhoods !== false) {
      const found = this.#value < known;
      if (found || plansFirst || this.#nodes > SLICE_NODES) this.#searchAround(found ? 12 : 6);
      if (this.#value < known) this.#restartIfMuchIsFixed();
    }
    return this.#isOver();
  }

  #isOver(): boolean {
    return (
      this.#closed() ||
      this.#tree!.exhausted ||
      this.#shouldStop() ||
      this.#nodes >= (this.#options.maxNodes ?? Infinity)
    );
  }

  /** Cuts at the root of what is left of the model, and an empty tree on it. */
  #plantTree(rounds: number): void {
    this.#root = tightenRoot(this.#near1.model, {
      rounds,
      perRound: 10,
      mostDensity: 1,
      knapsacks: this.#options.strengthened ?? false,
      shouldStop: () => this.#shouldStop(),
    });
    if (this.#root.status === 'infeasible') this.#bound = Infinity;
    else this.#raiseBound(this.#root.bound + this.#reduced.offset);
    const { strengthened = false } = this.#options;
    const counted =
      strengthened && this.#root.status === 'relaxed' && this.#near1.model.integer
        ? withCounts(this.#root.model, this.#near1.model, this.#root.point)
        : this.#root.model;
    this.#tree = new TreeSearch(counted, {
      cutoff: this.#value - this.#reduced.offset,
      relativeGap: this.#options.relativeGap ?? 0,
      absoluteGap: this.#options.absoluteGap ?? 1e-9,
      offset: this.#reduced.offset,
      shouldStop: () => this.#shouldStop(),
      onPlan: (values, value) => {
        this.#take(this.#inOriginal(values), value + this.#reduced.offset);
      },
    });
  }

  #grow(most: number): void {
    const before = this.#tree!.nodes;
    const hadPlan = this.#best !== null;
    const room = (this.#options.maxNodes ?? Infinity) - this.#nodes;
    this.#tree!.advance(
      Math.min(most, room),
      () => this.#shouldStop() || (!hadPlan && this.#best !== null) || this.#closed(),
    );
    this.#nodes += this.#tree!.nodes - before;
    this.#raiseBound(this.#tree!.bound + this.#reduced.offset);
    this.#report();
  }

  /** Searches small neighbourhoods of the best plan until they stop yielding. */
  #searchAround(most: number): void {
    const places = new Neighbourhoods(this.#reduced.model, this.#root.reducedCosts, this.#random);
    // In a small model a neighbourhood is nearly all of it and the tree gets there by itself.
    const patience = Math.min(most, Math.ceil(this.#reduced.model.columnCount / 40));
    for (let failures = 0; failures < patience;) {
      if (this.#shouldStop() || this.#closed()) break;
      const plan = Float64Array.from(this.#reduced.columns, (j) => this.#best![j]!);
      const { lower, upper } = places.around(plan, this.#size);
      const part = { ...this.#reduced.model, columnLower: lower, columnUpper: upper };
      const outcome = solveFewRows(
        part,
        {
          timeLimitSeconds: Math.max(0.01, this.#deadline - this.#clock()),
          maxNodes: NEIGHBOUR_NODES,
          cutRounds: 6,
          neighbourhoods: false,
          cutoff: this.#value - this.#reduced.offset - this.#leastGain(),
          absoluteGap: this.#leastGain(),
          ...(this.#options.shouldStop && { shouldStop: this.#options.shouldStop }),
        },
        this.#clock,
      );
      this.#around++;
      if (outcome.columnValues) {
        this.#take(
          expand(this.#reduced, this.#fixedAt, outcome.columnValues),
          outcome.value! + this.#reduced.offset,
        );
        failures = 0;
      } else failures++;
      // Neighbourhoods that are searched through can be larger, those that are not should shrink.
      if (outcome.status === 'infeasible') this.#size = Math.min(this.#size + 2, 200);
      else if (!outcome.columnValues) this.#size = Math.max(this.#size - 2, 20);
    }
  }

  /** When the best plan has fixed many columns at the root, tighten what is left afresh. */
  #restartIfMuchIsFixed(): void {
    this.#tree!.offerCutoff(this.#value - this.#reduced.offset);
    if (this.#closed()) return;
    const { lower, upper } = this.#tree!.openColumns();
    const { columnCount } = this.#near1.model;
    let fixed = 0;
    for (let j = 0; j < columnCount; j++) if (lower[j] === upper[j]) fixed++;
    if (fixed < RESTART_SHARE * columnCount) return;
    const all = {
      lower: this.#original.columnLower.slice(),
      upper: this.#original.columnUpper.slice(),
    };
    // What was fixed before stays fixed.
    const kept = new Uint8Array(this.#original.columnCount);
    this.#reduced.columns.forEach((column, j) => {
      kept[column] = 1;
      all.lower[column] = lower[j]! * this.#near1.columnFactor[j]!;
      all.upper[column] = upper[j]! * this.#near1.columnFactor[j]!;
    });
    for (let j = 0; j < kept.length; j++)
      if (kept[j] === 0) {
        all.lower[j] = this.#fixedAt[j]!;
        all.upper[j] = this.#fixedAt[j]!;
      }
    this.#reduced = reduceModel(this.#original, all.lower, all.upper);
    for (let j = 0; j < kept.length; j++) this.#fixedAt[j] = all.lower[j]!;
    if (this.#reduced.infeasible) {
      this.#bound = this.#value;
      return;
    }
    this.#near1 = scaled(this.#reduced.model);
    this.#plantTree(this.#options.cutRounds ?? 30);
  }

  #startFrom(start: Float64Array): void {
    let value = 0;
    for (let j = 0; j < start.length; j++) value += this.#original.columnCost[j]! * start[j]!;
    if (value >= this.#value) return;
    this.#best = start;
    this.#value = value;
  }

  #inOriginal(values: Float64Array): Float64Array {
    const { columnFactor } = this.#near1;
    return expand(
      this.#reduced,
      this.#fixedAt,
      columnFactor.map((factor, j) => values[j]! * factor),
    );
  }

  #take(values: Float64Array, value: number): void {
    if (value >= this.#value) return;
    this.#best = values;
    this.#value = value;
    this.#tree!.offerCutoff(value - this.#reduced.offset);
    this.#options.onIncumbent?.(values, value);
    this.#report();
  }

  #leastGain(): number {
    return Math.max(1e-9, 1e-7 * Math.abs(this.#value));
  }

  #raiseBound(bound: number): void {
    this.#bound = Math.max(this.#bound, Math.min(bound, this.#value));
  }

  #closed(): boolean {
    const { absoluteGap = 1e-9, relativeGap = 0 } = this.#options;
    if (this.#tree?.finished || this.#bound >= this.#value) return true;
    return (
      this.#best !== null &&
      this.#value - this.#bound <= Math.max(absoluteGap, relativeGap * Math.abs(this.#value))
    );
  }

  #report(): void {
    this.#options.onProgress?.(
      this.#best ? this.#value : null,
      Number.isFinite(this.#bound) ? this.#bound : null,
    );
  }

  #shouldStop(): boolean {
    return this.#clock() > this.#deadline || (this.#options.shouldStop?.() ?? false);
  }

  #outcome(): SolveOutcome {
    const closed = this.#reduced.infeasible || this.#closed();
    const status = closed ? (this.#best ? 'optimal' : 'infeasible') : 'limit';
    return {
      status,
      message: `${this.#nodes} nodes, ${this.#around} neighbourhoods`,
      value: this.#best ? this.#value : null,
      bound: Number.isFinite(this.#bound) ? Math.min(this.#bound, this.#value) : null,
      columnValues: this.#best,
      rowDuals: null,
    };
  }
}
