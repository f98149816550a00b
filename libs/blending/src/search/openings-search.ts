import type { LinearModel, SolveOutcome } from '../solver.ts';
import { AllowedValues } from './allowed-values.ts';
import { DualSimplex } from './dual-simplex.ts';
import { FewRows, type FewRowsOptions } from './few-rows-solver.ts';
import { linksOf } from './link-cuts.ts';
import { NodeHeap, type Decision } from './node-heap.ts';
import { PseudoCosts } from './pseudo-costs.ts';
import { reduceModel, type ReducedModel } from './reduced-model.ts';
import { tightenRoot, type TightRoot } from './root-cuts.ts';
import { rowsOf } from './row-matrix.ts';
import { scaled } from './scaling.ts';

const ITERATIONS = 5_000;
const WHOLE = 1e-6;
/** Share of the time in which choices are searched for plans, whatever their bound. */
const PLAN_SHARE = 0.4;
/** A choice tried for plans once more must be nearer the bound by this part of the gap. */
const TRY_WORTH = 0.1;
/** How far above the least bound, as a part of the gap, a choice is followed on from the one before. */
const FOLLOWED = 0.3;

/** A choice of yes/no columns, some decided, others not: no plan within it is better than the bound. */
interface Choice {
  readonly bound: number;
  /** −1 undecided, else 0 or 1, by place among the openings. */
  readonly decided: Int8Array;
  readonly last: Decision | null;
}

/** A choice to be searched for casks, once begun. */
interface Part {
  readonly search: FewRows;
  /** Less the offset, as in the heap. */
  bound: number;
  /** Times it was searched for plans; Infinity once it is searched for its bound. */
  tries: number;
  done: boolean;
}

/**
 * Where the number of openings (rows of the store) is capped: searches the choices of openings first,
 * with casks divisible, least bound first, and hands each choice that is whole to a search of its own
 * over the casks it opens. Few choices come near the best plan, and each leaves few casks; deciding
 * casks while openings are undecided settles little, since an opening makes up for a cask.
 *
 * A part of the time goes to plans in the choices found so far: by bounds alone a choice's turn may
 * never come, and a better plan is what closes most of the others.
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
  readonly #heap = new NodeHeap<Choice | Part>();
  /** Choices that may be searched for plans. */
  #hopeful: Part[] = [];
  #planSeconds = 0;
  /** Least bound of the choices whose search ended without proof. */
  #leastLost = Infinity;
  /** Columns that hang on each opening. */
  readonly #members: readonly number[][];
  readonly #costs: PseudoCosts;
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
    const links = linksOf(this.#reduced.model);
    this.#members = this.#openings.map((y) => links.filter((l) => l.y === y).map(({ x }) => x));
    this.#costs = new PseudoCosts(
      this.#reduced.model.columnCount,
      new AllowedValues(this.#reduced.model),
    );
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
    const { offset } = this.#reduced;
    const began = this.#clock();
    let choice: Choice | null = {
      bound: this.#root.bound,
      decided: new Int8Array(this.#openings.length).fill(-1),
      last: null,
    };
    while (!this.#shouldStop()) {
      const open = Math.min(this.#heap.least(), choice?.bound ?? Infinity);
      const least = Math.min(open + offset, this.#leastLost);
      this.#bound = Math.max(this.#bound, Math.min(least, this.#value - this.#goal()));
      this.#report();
      if (least >= this.#value - this.#goal()) return this.#outcome(this.#end());
      if (this.#planSeconds < PLAN_SHARE * (this.#clock() - began)) this.#seekPlan(least);
      if (!choice) {
        const item = this.#heap.pop();
        if (!item) break;
        if ('search' in item) this.#work(item);
        else choice = item;
        continue;
      }
      const next: Choice | null | 'stopped' = this.#decide(choice);
      if (next === 'stopped') break;
      choice = next;
      // Going on from the choice before needs few steps of the simplex; it must promise something, though.
      const worth = least - offset + FOLLOWED * (this.#value - least);
      if (choice && this.#parts > 0 && choice.bound > worth) {
        this.#heap.push(choice);
        choice = null;
      }
    }
    return this.#outcome('limit');
  }

  /** Solves a choice with casks divisible and splits it; returns the child to go on with, if any. */
  #decide(choice: Choice): Choice | null | 'stopped' {
    this.#choices++;
    const { decided } = choice;
    const simplex = this.#simplex;
    this.#openings.forEach((y, k) => {
      const at = decided[k]!;
      simplex.setBounds(y, at === 1 ? 1 : 0, at === 0 ? 0 : 1);
      for (const x of this.#members[k]!)
        simplex.setBounds(
          x,
          this.#root.model.columnLower[x]!,
          at === 0 ? 0 : this.#root.model.columnUpper[x]!,
        );
    });
    const cutoff = this.#value - this.#goal() - this.#reduced.offset;
    const end = simplex.solve(cutoff, ITERATIONS);
    if (end === 'infeasible' || end === 'cutoff') return null;
    if (end !== 'optimal') return this.#givenUp(choice);
    const bound = Math.max(choice.bound, simplex.bound());
    if (choice.last) this.#costs.learn(choice.last, bound);
    if (bound >= cutoff) return null;
    const at = this.#openings.map((y) => simplex.x[y]!);
    const next = decided.slice();
    at.forEach((_, k) => {
      if (decided[k] !== -1) return;
      // An opening whose price alone exceeds what is left to gain stays as it is.
      const d = simplex.isBasic(this.#openings[k]!) ? 0 : simplex.d[this.#openings[k]!]!;
      if (bound + Math.abs(d) >= cutoff) next[k] = d > 0 ? 0 : 1;
    });
    const child = (of: Int8Array, k: number, value: 0 | 1): Choice => {
      const copy = of.slice();
      copy[k] = value;
      const last = { column: this.#openings[k]!, value, from: at[k]!, bound };
      return { bound, decided: copy, last };
    };
    const fractional = this.#openings.filter((_, k) => Math.min(at[k]!, 1 - at[k]!) > WHOLE);
    if (fractional.length > 0) {
      const { column, dead } = this.#costs.choose(fractional, simplex, cutoff);
      const k = this.#openings.indexOf(column);
      if (dead) return child(next, k, dead === 'down' ? 1 : 0);
      this.#heap.push(child(next, k, 0));
      return child(next, k, 1);
    }
    // All openings are whole: this very choice becomes a part, and one of them is closed in each child.
    let kept = next;
    at.forEach((v, k) => {
      if (v < 0.5 || kept[k] === 1) return;
      this.#heap.push(child(kept, k, 0));
      kept = kept.slice();
      kept[k] = 1;
    });
    this.#beginPart(kept, bound);
    return null;
  }

  /** A choice whose relaxation gave no answer is searched as it is. */
  #givenUp(choice: Choice): null | 'stopped' {
    if (this.#shouldStop()) return 'stopped';
    this.#beginPart(choice.decided, choice.bound);
    return null;
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
        ...(holdsBest && { start: best! }),
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
    const part: Part = { search, bound, tries: 0, done: false };
    this.#heap.push(part);
    this.#hopeful.push(part);
  }

  /** Looks for plans in the choice that promises most: of low bound, and not tried often in vain. */
  #seekPlan(least: number): void {
    const began = this.#clock();
    const cutoff = this.#value - this.#goal() - this.#reduced.offset;
    this.#hopeful = this.#hopeful.filter(
      (part) => !part.done && part.tries < Infinity && part.bound < cutoff,
    );
    const step = TRY_WORTH * (this.#value - least);
    const score = ({ search, tries }: Part): number =>
      search.bound + (tries > 0 ? tries * step : 0);
    const part = this.#hopeful.sort((a, b) => score(a) - score(b))[0];
    if (!part) return;
    part.tries++;
    this.#step(part, true);
    this.#planSeconds += this.#clock() - began;
  }

  #work(part: Part): void {
    if (part.done) return;
    part.tries = Infinity;
    part.search.offerCutoff(this.#value);
    this.#step(part, false);
    if (part.done) return;
    part.bound = part.search.bound - this.#reduced.offset;
    this.#heap.push(part);
  }

  #step(part: Part, plansFirst: boolean): void {
    part.done = part.search.step(plansFirst);
    if (part.done && part.search.bound < this.#value - this.#goal())
      this.#leastLost = Math.min(this.#leastLost, part.search.bound);
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
