import type { LinearModel, SolveOutcome } from '../solver.ts';
import { DualSimplex } from './dual-simplex.ts';
import { FewRows, type FewRowsOptions } from './few-rows-solver.ts';
import { linksOf } from './link-cuts.ts';
import { NodeHeap } from './node-heap.ts';
import { reduceModel, type ReducedModel } from './reduced-model.ts';
import { tightenRoot, type TightRoot } from './root-cuts.ts';
import { rowsOf } from './row-matrix.ts';
import { scaled } from './scaling.ts';

const ITERATIONS = 5_000;
const WHOLE = 1e-6;

/** A choice of yes/no columns, some decided, others not: no plan within it is better than the bound. */
interface Choice {
  readonly bound: number;
  /** −1 undecided, else 0 or 1, by place among the openings. */
  readonly decided: Int8Array;
}

/** A choice to be searched for casks, once begun. */
interface Part {
  readonly search: FewRows;
}

/**
 * Where the number of openings (rows of the store) is capped: searches the choices of openings first,
 * with casks divisible, least bound first, and hands each choice that is whole to a search of its own
 * over the casks it opens. Few choices come near the best plan, and each leaves few casks; deciding
 * casks while openings are undecided settles little, since an opening makes up for a cask.
 */
export function solveByOpenings(
  model: LinearModel,
  options: FewRowsOptions,
  clock: () => number,
): SolveOutcome {
  return new OpeningsSearch(model, options, clock).run();
}

/** Whether a row of the model caps the number of columns that others hang on. */
export function capsOpenings(model: LinearModel): boolean {
  const { model: reduced } = reduceModel(model);
  return capRows(reduced, openingsOf(reduced)).length > 0;
}

function openingsOf(model: LinearModel): number[] {
  return model.integer ? [...new Set(linksOf(model).map(({ y }) => y))] : [];
}

/** Rows Σ y ≤ k over openings, as places among them. */
function capRows(
  model: LinearModel,
  openings: readonly number[],
): { places: number[]; most: number }[] {
  const place = new Map(openings.map((y, k) => [y, k]));
  const rows = rowsOf(model);
  const found: { places: number[]; most: number }[] = [];
  for (let i = 0; i < model.rowCount; i++) {
    const places: number[] = [];
    let plain = Number.isFinite(model.rowUpper[i]!) && rows.starts[i]! < rows.starts[i + 1]!;
    for (let e = rows.starts[i]!; e < rows.starts[i + 1]! && plain; e++) {
      const k = place.get(rows.columns[e]!);
      plain = k !== undefined && rows.values[e] === 1;
      if (k !== undefined) places.push(k);
    }
    if (plain) found.push({ places, most: Math.floor(model.rowUpper[i]! + WHOLE) });
  }
  return found;
}

class OpeningsSearch {
  readonly #model: LinearModel;
  readonly #options: FewRowsOptions;
  readonly #clock: () => number;
  readonly #deadline: number;
  readonly #reduced: ReducedModel;
  readonly #openings: readonly number[];
  readonly #caps: ReturnType<typeof capRows>;
  readonly #heap = new NodeHeap<Choice | (Part & { bound: number })>();
  #root!: TightRoot;
  #simplex!: DualSimplex;
  #best: Float64Array | null;
  #value: number;
  #bound: number;
  #choices = 0;
  #parts = 0;

  constructor(model: LinearModel, options: FewRowsOptions, clock: () => number) {
    this.#model = model;
    this.#options = options;
    this.#clock = clock;
    this.#deadline = clock() + options.timeLimitSeconds;
    this.#reduced = reduceModel(model);
    this.#openings = openingsOf(this.#reduced.model);
    this.#caps = capRows(this.#reduced.model, this.#openings);
    this.#best = options.start ?? null;
    this.#value = options.cutoff ?? Infinity;
    if (this.#best)
      this.#value = this.#best.reduce((sum, v, j) => sum + v * model.columnCost[j]!, 0);
    this.#bound = options.knownBound ?? -Infinity;
  }

  run(): SolveOutcome {
    if (this.#reduced.infeasible) return this.#outcome('infeasible');
    // Continuous columns alone are scaled, so openings keep their bounds.
    const { model } = scaled(this.#reduced.model);
    this.#root = tightenRoot(model, {
      rounds: this.#options.cutRounds ?? 30,
      perRound: 10,
      mostDensity: 1,
      knapsacks: true,
      shouldStop: () => this.#shouldStop(),
    });
    if (this.#root.status === 'infeasible') return this.#outcome(this.#end());
    this.#simplex = new DualSimplex(this.#root.model, () => this.#shouldStop());
    this.#heap.push({
      bound: this.#root.bound,
      decided: new Int8Array(this.#openings.length).fill(-1),
    });
    while (!this.#shouldStop()) {
      const least = this.#heap.least() + this.#reduced.offset;
      this.#bound = Math.max(this.#bound, Math.min(least, this.#value - this.#goal()));
      this.#report();
      if (least >= this.#value - this.#goal()) return this.#outcome(this.#end());
      const item = this.#heap.pop()!;
      if ('search' in item) this.#work(item);
      else if (!this.#decide(item)) {
        this.#heap.push(item);
        break;
      }
    }
    return this.#outcome('limit');
  }

  /** Solves a choice with casks divisible and splits it; false when that was cut short. */
  #decide(choice: Choice): boolean {
    this.#choices++;
    const { decided } = choice;
    const simplex = this.#simplex;
    this.#openings.forEach((y, k) => {
      const at = decided[k]!;
      simplex.setBounds(y, at === 1 ? 1 : 0, at === 0 ? 0 : 1);
    });
    const cutoff = this.#value - this.#goal() - this.#reduced.offset;
    const end = simplex.solve(cutoff, ITERATIONS);
    if (end === 'infeasible' || end === 'cutoff') return true;
    if (end !== 'optimal') return this.#givenUp(choice);
    const bound = Math.max(choice.bound, simplex.bound());
    if (bound >= cutoff) return true;
    const at = this.#openings.map((y) => simplex.x[y]!);
    const next = decided.slice();
    let fractional = -1;
    let far = WHOLE;
    at.forEach((v, k) => {
      const off = Math.min(v, 1 - v);
      if (off > far) {
        far = off;
        fractional = k;
      }
      if (decided[k] !== -1) return;
      // An opening whose price alone exceeds what is left to gain stays as it is.
      const d = simplex.isBasic(this.#openings[k]!) ? 0 : simplex.d[this.#openings[k]!]!;
      if (bound + Math.abs(d) >= cutoff) next[k] = d > 0 ? 0 : 1;
    });
    const child = (from: Int8Array, k: number, value: 0 | 1): Int8Array => {
      const copy = from.slice();
      copy[k] = value;
      this.#heap.push({ bound, decided: copy.slice() });
      return copy;
    };
    if (fractional >= 0) {
      child(next, fractional, 0);
      child(next, fractional, 1);
      return true;
    }
    // All openings are whole: this very choice becomes a part, and one of them is closed in each child.
    let kept = next;
    at.forEach((v, k) => {
      if (v < 0.5 || kept[k] === 1) return;
      child(kept, k, 0);
      kept = kept.slice();
      kept[k] = 1;
    });
    this.#beginPart(kept, bound);
    return true;
  }

  /** A choice whose relaxation gave no answer is searched as it is. */
  #givenUp(choice: Choice): boolean {
    if (this.#shouldStop()) return false;
    this.#beginPart(choice.decided, choice.bound);
    return true;
  }

  #beginPart(decided: Int8Array, bound: number): void {
    const closed = decided.slice();
    for (const { places, most } of this.#caps)
      if (places.filter((k) => decided[k] === 1).length >= most)
        for (const k of places) if (closed[k] === -1) closed[k] = 0;
    const columnLower = this.#model.columnLower.slice();
    const columnUpper = this.#model.columnUpper.slice();
    const shut = new Set<number>();
    this.#openings.forEach((y, k) => {
      const column = this.#reduced.columns[y]!;
      if (closed[k] === 1) columnLower[column] = 1;
      if (closed[k] === 0) {
        columnUpper[column] = 0;
        shut.add(y);
      }
    });
    for (const { x, y } of linksOf(this.#reduced.model))
      if (shut.has(y)) columnUpper[this.#reduced.columns[x]!] = 0;
    this.#parts++;
    const best = this.#best;
    const holdsBest = best?.every((v, j) => v >= columnLower[j]! && v <= columnUpper[j]!) ?? false;
    const search = new FewRows(
      { ...this.#model, columnLower, columnUpper },
      {
        timeLimitSeconds: this.#deadline - this.#clock(),
        absoluteGap: this.#options.absoluteGap ?? 1e-9,
        relativeGap: this.#options.relativeGap ?? 0,
        ...(holdsBest ? { start: best! } : { cutoff: this.#value }),
        strengthened: true,
        knownBound: bound + this.#reduced.offset,
        ...(this.#options.seed !== undefined && { seed: this.#options.seed }),
        ...(this.#options.shouldStop && { shouldStop: this.#options.shouldStop }),
        onIncumbent: (values, value) => {
          if (value >= this.#value) return;
          this.#best = values;
          this.#value = value;
          this.#options.onIncumbent?.(values, value);
          this.#report();
        },
      },
      this.#clock,
    );
    this.#heap.push({ search, bound });
  }

  #work({ search }: Part): void {
    search.offerCutoff(this.#value);
    if (search.step()) return;
    this.#heap.push({ search, bound: search.bound - this.#reduced.offset });
  }

  #goal(): number {
    const { absoluteGap = 1e-9, relativeGap = 0 } = this.#options;
    return this.#value === Infinity
      ? 0
      : Math.max(absoluteGap, relativeGap * Math.abs(this.#value));
  }

  #end(): SolveOutcome['status'] {
    if (this.#shouldStop() && this.#root.status !== 'infeasible') return 'limit';
    if (!this.#best) return 'infeasible';
    this.#bound = Math.max(this.#bound, this.#value - this.#goal());
    return 'optimal';
  }

  #shouldStop(): boolean {
    return this.#clock() > this.#deadline || (this.#options.shouldStop?.() ?? false);
  }

  #report(): void {
    this.#options.onProgress?.(
      this.#best ? this.#value : null,
      Number.isFinite(this.#bound) ? this.#bound : null,
    );
  }

  #outcome(status: SolveOutcome['status']): SolveOutcome {
    return {
      status,
      message: `${this.#choices} choices of openings, ${this.#parts} searched`,
      value: this.#best ? this.#value : null,
      bound: Number.isFinite(this.#bound) ? Math.min(this.#bound, this.#value) : null,
      columnValues: this.#best,
      rowDuals: null,
    };
  }
}
