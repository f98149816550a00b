import {
  assemble,
  fractionsOf,
  type AssembledModel,
  type AssembleOptions,
  type HeldLevel,
  type Selection,
} from '../assemble.ts';
import type { BlendModel, Level } from '../blend-model.ts';
import type { Draw } from '../realise.ts';
import type { LinearModel, SolveOutcome } from '../solver.ts';
import { solveFewRows } from './few-rows-solver.ts';
import type { LevelAnswer, SearchLimits } from './level-search.ts';
import type { Prices, Pricing } from './pricing.ts';
import { capsOpenings, solveByOpenings } from './openings-search.ts';
import { reduceModel } from './reduced-model.ts';
import { sift } from './sifting.ts';

/** Rows up to which our own branch and bound is used; beyond, the solver gets the model. */
export const FEW_ROWS = 260;

const FIRST_CORE = 250;
const CORE_GROWTH = 2;
const CORE_CUT_ROUNDS = 4;
/** Blocks left by reduced-cost fixing that are few enough to be searched to the end. */
const SEARCHABLE = 1_500;

interface Incumbent {
  readonly value: number;
  readonly fraction: Map<number, number>;
  readonly globals: Float64Array;
}

/**
 * Price and core, for many casks: the relaxation by sifting gives a bound and a regret for each cask
 * (what going against its price costs); the casks of least regret are searched with the others left as
 * their price says; what costs more than the plan found is from the bound is settled for good, and
 * when few enough casks are left they are searched to the end.
 */
export function searchByCore(
  model: BlendModel,
  level: Level,
  held: readonly HeldLevel[],
  limits: SearchLimits,
): LevelAnswer {
  return new CoreSearch(model, level, held, limits).run();
}

class CoreSearch {
  readonly #model: BlendModel;
  readonly #level: Level;
  readonly #held: readonly HeldLevel[];
  readonly #limits: SearchLimits;
  readonly #steps: string[] = [];
  #regret!: Float64Array;
  #prefersDrawn!: Uint8Array;
  #order!: Int32Array;
  #bound = -Infinity;
  #best: Incumbent | null = null;
  #failedModel: LinearModel | null = null;

  constructor(model: BlendModel, level: Level, held: readonly HeldLevel[], limits: SearchLimits) {
    this.#model = model;
    this.#level = level;
    this.#held = held;
    this.#limits = limits;
  }

  run(): LevelAnswer {
    const relaxed = sift(this.#model, this.#level, this.#held, this.#limits);
    this.#steps.push(relaxed.step);
    if (relaxed.status !== 'relaxed')
      return this.#answer(
        relaxed.status === 'infeasible' ? 'infeasible' : relaxed.failed ? 'failed' : 'limit',
      );
    this.#bound = relaxed.prices.bound;
    this.#rank(relaxed.prices, relaxed.pricing, relaxed.drawn);
    this.#report(this.#bound);
    this.#searchWithValuesChosen(relaxed.prices, relaxed.pricing, relaxed.drawn);
    let size = FIRST_CORE;
    for (;;) {
      const left = this.#left();
      if (left <= 0 || this.#limits.shouldStop() || this.#closed()) return this.#answer('limit');
      const open = this.#openBlocks();
      // A row for each value left may be too many for our own search: larger cores serve better then.
      const searchable =
        this.#rowsOver(open, relaxed.pricing) > FEW_ROWS ? SEARCHABLE / 3 : SEARCHABLE;
      const few = open.length <= Math.max(this.#best ? searchable : 0, 1.2 * size);
      if (few || open.length <= size) return this.#searchToTheEnd(open);
      const end = this.#searchCore(open.slice(0, size), left);
      if (end === 'failed') return this.#answer('failed');
      size = Math.ceil(size * CORE_GROWTH);
    }
  }

  /** The blocks whose going either way may still be part of a better plan, least regret first. */
  #openBlocks(): Int32Array {
    const room = this.#best ? this.#best.value - this.#bound : Infinity;
    return this.#order.filter((b) => this.#regret[b]! <= room);
  }

  #rowsOver(open: Int32Array, pricing: Pricing): number {
    return (
      this.#model.rows.lower.length +
      new Set(Array.from(open, (b) => pricing.homeOf(b)?.join())).size
    );
  }

  /**
   * Where the number of values is capped, a first plan is nearest among the casks of those that the
   * relaxation draws from most, taken as opened.
   */
  #searchWithValuesChosen({ worth }: Prices, pricing: Pricing, drawn: Float64Array): void {
    const { blocks, families, rows } = this.#model;
    const chosen = families.map((family) => {
      if (family.kind !== 'cap' || family.countRow < 0) return null;
      const most = family.values.map((_, v) => {
        let most = 0;
        for (let e = family.starts[v]!; e < family.starts[v + 1]!; e++)
          most = Math.max(most, drawn[family.members[e]!]!);
        return most;
      });
      const byDrawn = [...most.keys()].sort((a, b) => most[b]! - most[a]!);
      return new Set(byDrawn.slice(0, rows.upper[family.countRow]));
    });
    if (chosen.every((values) => values === null)) return;
    const isOpened = (f: number, v: number): boolean => chosen[f]?.has(v) ?? false;
    const within = this.#order
      .filter((b) => {
        const home = pricing.homeOf(b);
        return !home || chosen[home[0]] === null || isOpened(...home);
      })
      .sort((a, b) => fixity(a) - fixity(b));
    function fixity(b: number): number {
      const open = drawn[b]! > 1e-6 && drawn[b]! < 1 - 1e-6;
      return open || blocks.mustOpen[b] === 1 ? -1 : Math.abs(worth[b]!);
    }
    const free = within.slice(0, FIRST_CORE);
    this.#solve(free, {
      // Casks few enough to be searched to the end are searched by choices anyway.
      seconds: (blocks.count <= SEARCHABLE ? 0.05 : 0.2) * this.#left(),
      absoluteGap: Math.max(this.#goal(), 5e-4 * Math.abs(this.#bound)),
      exact: false,
      isOpened,
      drawnWhole: Array.from(within.slice(FIRST_CORE)).filter((b) => worth[b]! < 0),
    });
  }

  #searchCore(core: Int32Array, left: number): SolveOutcome['status'] {
    const outcome = this.#solve(core, {
      seconds: this.#best ? Math.min(left, Math.max(0.3 * left, 1)) : 0.3 * left,
      absoluteGap: Math.max(this.#goal(), this.#best ? 0 : 5e-4 * Math.abs(this.#bound)),
      exact: false,
    });
    return outcome.status;
  }

  #searchToTheEnd(open: Int32Array): LevelAnswer {
    const outcome = this.#solve(open, {
      seconds: this.#left(),
      absoluteGap: this.#goal(),
      exact: true,
    });
    if (outcome.status === 'infeasible' && !this.#best) return this.#answer('infeasible');
    if (outcome.status === 'failed' && !this.#best) return this.#answer('failed');
    return this.#answer(
      outcome.status === 'optimal' || outcome.status === 'infeasible' ? 'optimal' : 'limit',
    );
  }

  /** Searches over some blocks with the others as their price says; keeps what it finds. */
  #solve(
    free: Int32Array,
    how: {
      seconds: number;
      absoluteGap: number;
      exact: boolean;
      isOpened?: AssembleOptions['isOpened'];
      drawnWhole?: number[];
    },
  ): SolveOutcome {
    const drawnWhole = how.drawnWhole ?? this.#preferredOutside(free);
    const assembleFor = (own: boolean): AssembledModel =>
      assemble(
        this.#model,
        this.#level,
        { free, drawnWhole },
        {
          integer: true,
          held: this.#held,
          asDraws: own,
          ...(how.isOpened && { isOpened: how.isOpened }),
        },
      );
    let assembled = assembleFor(true);
    const few = reduceModel(assembled.model).model.rowCount <= FEW_ROWS;
    if (!few) assembled = assembleFor(false);
    const start = this.#startFor(assembled, { free, drawnWhole });
    const { offset } = assembled;
    const began = this.#limits.clock();
    const options = {
      timeLimitSeconds: how.seconds,
      absoluteGap: how.absoluteGap,
      seed: this.#limits.seed,
      ...(start && { start }),
      ...(!start && this.#best && { cutoff: this.#best.value - offset }),
      shouldStop: this.#limits.shouldStop,
      onProgress: (value: number | null, bound: number | null): void => {
        const known = this.#best?.value ?? Infinity;
        const best = Math.min(known, value === null ? Infinity : value + offset);
        const raised =
          how.exact && bound !== null
            ? Math.min(Math.max(this.#bound, bound + offset), best)
            : null;
        this.#limits.onProgress(Number.isFinite(best) ? best : null, raised ?? this.#bound);
      },
    };
    const bySelf =
      how.exact && few && capsOpenings(assembled.model) ? solveByOpenings : solveFewRows;
    const outcome = few
      ? bySelf(
          assembled.model,
          {
            ...options,
            knownBound: this.#bound - offset,
            // A core is for plans: its own bound is worth little.
            ...(how.exact
              ? { strengthened: true }
              : { cutRounds: CORE_CUT_ROUNDS, plansFirst: true }),
          },
          this.#limits.clock,
        )
      : this.#limits.solver.solve(assembled.model, options);
    this.#steps.push(
      `${few ? 'own search' : this.#limits.solver.name} over ${free.length} casks, ${assembled.model.rowCount} rows${how.exact ? ', the rest settled' : ''}: ${outcome.status} (${outcome.message}), ${(this.#limits.clock() - began).toFixed(2)} s`,
    );
    if (outcome.status === 'failed') this.#failedModel = assembled.model;
    const found = outcome.columnValues ? outcome.value! + offset : Infinity;
    const best = Math.min(found, this.#best?.value ?? Infinity);
    if (how.exact) {
      if (outcome.status === 'optimal' || outcome.status === 'infeasible')
        this.#bound = Math.max(this.#bound, best - how.absoluteGap);
      if (outcome.bound !== null)
        this.#bound = Math.max(this.#bound, Math.min(best, outcome.bound + offset));
    }
    if (outcome.columnValues) this.#take(assembled, { free, drawnWhole }, outcome, offset);
    return outcome;
  }

  #preferredOutside(free: Int32Array): number[] {
    const inCore = new Uint8Array(this.#model.blocks.count);
    for (const b of free) inCore[b] = 1;
    const drawn: number[] = [];
    for (const b of this.#order) if (inCore[b] === 0 && this.#prefersDrawn[b] === 1) drawn.push(b);
    return drawn;
  }

  #take(
    assembled: AssembledModel,
    { drawnWhole }: Selection,
    outcome: SolveOutcome,
    offset: number,
  ): void {
    const value = outcome.value! + offset;
    if (this.#best && value >= this.#best.value) return;
    const values = outcome.columnValues!;
    const fraction = new Map<number, number>();
    for (let k = 0; k < drawnWhole.length; k++) fraction.set(drawnWhole[k]!, 1);
    for (const draw of fractionsOf(assembled, values)) fraction.set(draw.block, draw.fraction);
    const globals = Float64Array.from(assembled.globalColumn, (column) => values[column]!);
    this.#best = { value, fraction, globals };
    this.#report(this.#bound);
  }

  /** The best plan in the columns of a part of the model; null when that part excludes it. */
  #startFor(assembled: AssembledModel, { drawnWhole }: Selection): Float64Array | null {
    const best = this.#best;
    if (!best) return null;
    const start = new Float64Array(assembled.model.columnCount);
    let covered = 0;
    assembled.free.forEach((block, k) => {
      const fraction = best.fraction.get(block);
      if (fraction === undefined) return;
      covered++;
      const x = assembled.wholeColumn[k]!;
      const f = assembled.fractionColumn[k]!;
      if (fraction === 1 && x >= 0) start[x] = 1;
      else if (f >= 0) {
        start[f] = fraction;
        const z = assembled.openedColumn[k]!;
        if (z >= 0) start[z] = 1;
      }
    });
    for (let k = 0; k < drawnWhole.length; k++) {
      if (best.fraction.get(drawnWhole[k]!) !== 1) return null;
      covered++;
    }
    if (covered !== best.fraction.size) return null;
    assembled.globalColumn.forEach((column, g) => (start[column] = best.globals[g]!));
    for (const { family, value, column } of assembled.valueColumns) {
      const { starts, members } = this.#model.families[family]!;
      for (let e = starts[value]!; e < starts[value + 1]!; e++)
        if (best.fraction.has(members[e]!)) start[column] = 1;
    }
    return start;
  }

  /** Regrets, and the order in which blocks are set free. */
  #rank({ worth, opening }: Prices, pricing: Pricing, drawn: Float64Array): void {
    const { blocks } = this.#model;
    const regret = new Float64Array(blocks.count);
    const prefers = new Uint8Array(blocks.count);
    const key = new Float64Array(blocks.count);
    const tie = 1e-9 * Math.max(1, Math.abs(this.#bound));
    for (let b = 0; b < blocks.count; b++) {
      const w = worth[b]!;
      const home = pricing.homeOf(b);
      const open = home ? opening[home[0]]![home[1]]! : -Infinity;
      if (blocks.mustOpen[b] === 1) {
        prefers[b] = 1;
        regret[b] = Infinity;
      } else if (open >= 0) regret[b] = open + Math.max(0, w);
      else if (w < 0) {
        prefers[b] = 1;
        regret[b] = Math.min(-w, -open);
      } else regret[b] = w;
      // Prices that do not tell leave it to what the relaxation did.
      if (regret[b]! <= tie) prefers[b] = drawn[b]! > 0.5 ? 1 : 0;
      if (prefers[b] === 1 && blocks.part[b] === 1) regret[b] = 0;
      key[b] = drawn[b]! > 1e-6 && drawn[b]! < 1 - 1e-6 ? -1 : regret[b]!;
    }
    this.#regret = regret;
    this.#prefersDrawn = prefers;
    this.#order = Int32Array.from({ length: blocks.count }, (_, b) => b).sort(
      (a, b) => key[a]! - key[b]! || a - b,
    );
  }

  /** Difference of value and bound that is good enough. */
  #goal(): number {
    const { relativeGap, absoluteGap } = this.#limits;
    return Math.max(absoluteGap, relativeGap * Math.abs(this.#best?.value ?? this.#bound));
  }

  #closed(): boolean {
    return this.#best !== null && this.#best.value - this.#bound <= this.#goal();
  }

  #left(): number {
    return this.#limits.deadline - this.#limits.clock();
  }

  #report(bound: number): void {
    this.#limits.onProgress(this.#best?.value ?? null, Number.isFinite(bound) ? bound : null);
  }

  #answer(status: LevelAnswer['status']): LevelAnswer {
    const best = this.#best;
    const draws: Draw[] | null = best
      ? [...best.fraction].map(([block, fraction]) => ({
          cask: this.#model.blocks.cask[block]!,
          fraction,
          whole: fraction === 1,
        }))
      : null;
    return {
      status: status === 'limit' && this.#closed() ? 'optimal' : status,
      draws,
      waterKg: best?.globals[this.#model.waterColumn] ?? 0,
      value: best?.value ?? null,
      bound: Number.isFinite(this.#bound) ? this.#bound : null,
      step: this.#steps.join('; '),
      failedModel: this.#failedModel,
    };
  }
}
