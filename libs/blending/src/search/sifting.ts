import { assemble, type AssembledModel, type HeldLevel } from '../assemble.ts';
import type { BlendModel, Level } from '../blend-model.ts';
import type { LinearModel, SolverPort } from '../solver.ts';
import { Pricing, type Prices } from './pricing.ts';
import { randomFrom } from './random.ts';

export interface SiftingLimits {
  readonly solver: SolverPort;
  readonly clock: () => number;
  readonly deadline: number;
  readonly seed: number;
  readonly shouldStop: () => boolean;
}

export type SiftedRelaxation =
  | {
      readonly status: 'relaxed';
      readonly prices: Prices;
      /** How much of each block the relaxation draws, 0…1; 0 for those it did not look at. */
      readonly drawn: Float64Array;
      /** Values of the model's own columns. */
      readonly globals: Float64Array;
      readonly pricing: Pricing;
      readonly step: string;
    }
  /** `multipliers`: of the rows, that prove it; null where the solver alone says so. */
  | {
      readonly status: 'infeasible';
      readonly multipliers: Float64Array | null;
      readonly step: string;
    }
  /** The time ran out, or the solver did not answer. */
  | { readonly status: 'stopped'; readonly step: string; readonly failed: boolean };

const FIRST_BLOCKS = 1_500;
const ADDED_BLOCKS = 1_500;
const KEPT_BLOCKS = 6_000;
const ROUNDS = 25;
/** Rounds after which rows that are broken still are looked into by themselves. */
const BREACHED_ROUNDS = 4;
/** Relative distance of bound and value at which the relaxation counts as solved. */
const CLOSE = 2e-5;

/**
 * The linear relaxation by sifting: solve it over some thousand blocks, price all of them with the
 * multipliers, take in those worth drawing, until the bound from the prices meets the value. Rows may
 * be broken at a price, so that any choice of blocks can be solved; if that is still used at the end,
 * a second run that only counts breaches tells whether they can be avoided.
 */
export function sift(
  model: BlendModel,
  level: Level,
  held: readonly HeldLevel[],
  limits: SiftingLimits,
  breachCost?: number,
): SiftedRelaxation {
  const sifting = new Sifting(model, held, limits);
  const cost = breachCost ?? 30 * typicalCost(level);
  const first = sifting.run(level, cost, BREACHED_ROUNDS);
  if (first.status !== 'breached') return first;
  const feasibility = settled(sifting.run(noCost(model), null));
  if (feasibility.status !== 'relaxed') return feasibility;
  const second = sifting.run(level, cost);
  return second.status === 'breached' ? settled(sifting.run(level, 300 * cost)) : second;
}

/** Whether the relaxation has any solution, whatever it costs. */
export function siftFeasibility(model: BlendModel, limits: SiftingLimits): SiftedRelaxation {
  return settled(new Sifting(model, [], limits).run(noCost(model), null));
}

function settled(end: SiftEnd): SiftedRelaxation {
  return end.status === 'breached' ? { status: 'stopped', step: end.step, failed: false } : end;
}

type SiftEnd = SiftedRelaxation | { readonly status: 'breached'; readonly step: string };

class Sifting {
  readonly #model: BlendModel;
  readonly #held: readonly HeldLevel[];
  readonly #limits: SiftingLimits;
  readonly #inside: Uint8Array;
  readonly #rowScale: Float64Array;
  /** Floors on the number of values are left to the whole-cask search: they rarely bind here. */
  readonly #withoutFloors: BlendModel;

  constructor(model: BlendModel, held: readonly HeldLevel[], limits: SiftingLimits) {
    this.#model = model;
    this.#held = held;
    this.#limits = limits;
    this.#withoutFloors = withoutFloors(model);
    this.#rowScale = rowScales(model);
    this.#inside = this.#firstBlocks();
  }

  /**
   * @param breachCost of breaking a row by one cask's worth; null: breaches are all that costs
   * @param breachedRounds rounds after which it ends if rows are broken still
   */
  run(level: Level, breachCost: number | null, breachedRounds = ROUNDS): SiftEnd {
    const { clock, deadline, solver } = this.#limits;
    const began = clock();
    const model = this.#withoutFloors;
    const pricing = new Pricing(this.#model, level, this.#held);
    const rowCount = model.rows.lower.length;
    const unit = breachCost ?? 1;
    let best: Prices | null = null;
    let drawn: Float64Array = new Float64Array(model.blocks.count);
    let globals: Float64Array = new Float64Array(model.globals.length);
    let breach = 0;
    let value = Infinity;
    let size = 0;
    let round = 0;
    for (; round < ROUNDS; round++) {
      if (clock() > deadline || this.#limits.shouldStop()) break;
      const free = this.#insideBlocks();
      size = free.length;
      const assembled = assemble(
        model,
        level,
        { free, drawnWhole: [] },
        { integer: false, separateLinks: true, held: this.#held, asDraws: true },
      );
      const elastic = withBreaches(assembled.model, this.#rowScale, this.#held.length, unit);
      const outcome = solver.solve(elastic, { timeLimitSeconds: deadline - clock() });
      if (outcome.status !== 'optimal' || !outcome.columnValues || !outcome.rowDuals)
        return {
          status: 'stopped',
          step: `relaxation: ${outcome.status} (${outcome.message})`,
          failed: outcome.status === 'failed',
        };
      value = outcome.value!;
      breach = 0;
      for (let j = assembled.model.columnCount; j < elastic.columnCount; j++)
        breach += elastic.columnCost[j]! * outcome.columnValues[j]!;
      drawn = this.#drawn(assembled, outcome.columnValues);
      const { columnValues } = outcome;
      globals = Float64Array.from(assembled.globalColumn, (column) => columnValues[column]!);
      const multipliers = outcome.rowDuals.slice(0, rowCount + this.#held.length);
      const prices = pricing.prices(multipliers);
      if (!best || prices.bound > best.bound) best = prices;
      // Costs of nothing: a bound above nothing proves that some row must be broken.
      if (breachCost === null && prices.bound > 1e-6)
        return {
          status: 'infeasible',
          multipliers,
          step: `relaxation proven impossible in ${round + 1} rounds, ${(clock() - began).toFixed(2)} s`,
        };
      if (value - best.bound <= CLOSE * Math.max(Math.abs(value), 1e-6)) break;
      if (round + 1 >= breachedRounds && isBreached(breach, value)) break;
      if (!this.#takeIn(prices, pricing)) break;
    }
    const step = `relaxation over ${size} of ${model.blocks.count} casks, ${round + 1} rounds, ${(clock() - began).toFixed(2)} s`;
    if (!best) return { status: 'stopped', step, failed: false };
    if (isBreached(breach, value)) return { status: 'breached', step };
    return { status: 'relaxed', prices: best, drawn, globals, pricing, step };
  }

  /** Takes in the blocks most worth drawing; false when there are none outside. */
  #takeIn(prices: Prices, pricing: Pricing): boolean {
    const { worth, opening } = prices;
    const candidates: number[] = [];
    const gain = new Float64Array(worth.length);
    let inside = 0;
    for (let b = 0; b < worth.length; b++) {
      if (this.#inside[b] === 1) inside++;
      else if (worth[b]! < -1e-9) {
        const home = pricing.homeOf(b);
        const value = home ? opening[home[0]]![home[1]]! : 0;
        // A value not worth opening even with all its members' gains brings nothing in.
        if (home && value > -1e-9 && !this.#homeIsInside(home)) continue;
        gain[b] = home && value < 0 ? value : worth[b]!;
        candidates.push(b);
      }
    }
    if (candidates.length === 0) return false;
    if (inside > KEPT_BLOCKS) this.#letGo(worth);
    candidates.sort((a, b) => gain[a]! - gain[b]! || worth[a]! - worth[b]!);
    for (const b of candidates.slice(0, ADDED_BLOCKS)) this.#inside[b] = 1;
    return true;
  }

  #homeIsInside([f, v]: readonly [number, number]): boolean {
    const family = this.#model.families[f]!;
    for (let e = family.starts[v]!; e < family.starts[v + 1]!; e++)
      if (this.#inside[family.members[e]!] === 1) return true;
    return false;
  }

  #letGo(worth: Float64Array): void {
    const { mustOpen } = this.#model.blocks;
    const far = this.#insideBlocks()
      .filter((b) => mustOpen[b] !== 1)
      .sort((a, b) => worth[b]! - worth[a]!);
    for (const b of far.slice(0, far.length / 2)) if (worth[b]! > 0) this.#inside[b] = 0;
  }

  #insideBlocks(): number[] {
    const list: number[] = [];
    for (let b = 0; b < this.#inside.length; b++) if (this.#inside[b] === 1) list.push(b);
    return list;
  }

  /** Some blocks at random; where values are capped, all members of some values instead. */
  #firstBlocks(): Uint8Array {
    const { count, mustOpen } = this.#model.blocks;
    const random = randomFrom(this.#limits.seed);
    const inside = Uint8Array.from({ length: count }, (_, b) => (mustOpen[b] === 1 ? 1 : 0));
    const capped = this.#model.families.find((f) => f.kind === 'cap' && f.countRow >= 0);
    if (capped) {
      const share = FIRST_BLOCKS / Math.max(1, capped.members.length);
      for (let v = 0; v < capped.values.length; v++)
        if (random() < share)
          for (let e = capped.starts[v]!; e < capped.starts[v + 1]!; e++)
            inside[capped.members[e]!] = 1;
    } else for (let b = 0; b < count; b++) if (random() < FIRST_BLOCKS / count) inside[b] = 1;
    return inside;
  }

  #drawn(assembled: AssembledModel, values: Float64Array): Float64Array {
    const drawn = new Float64Array(this.#model.blocks.count);
    assembled.free.forEach((block, k) => {
      for (const column of [assembled.wholeColumn[k]!, assembled.fractionColumn[k]!])
        if (column >= 0) drawn[block]! += values[column]!;
    });
    return drawn;
  }
}

function isBreached(breach: number, value: number): boolean {
  return breach > 1e-6 * Math.max(1, Math.abs(value));
}

/** Size of the coefficients in each row, so that a breach of 1 means about the same in all. */
function rowScales({ rows, perFraction, perOpened, globals }: BlendModel): Float64Array {
  const scale = new Float64Array(rows.lower.length);
  for (const columns of [perFraction, perOpened])
    for (let e = 0; e < columns.rows.length; e++) {
      const i = columns.rows[e]!;
      scale[i] = Math.max(scale[i]!, Math.abs(columns.values[e]!));
    }
  for (const column of globals)
    for (const [row, value] of column.entries)
      if (scale[row] === 0) scale[row] = Math.abs(value) * Math.max(1, Math.abs(column.upper) / 50);
  return scale.map((s) => (s > 0 && Number.isFinite(s) ? s : 1));
}

function typicalCost(level: Level): number {
  let sum = 0;
  const count = Math.max(1, level.perFraction.length);
  for (let b = 0; b < level.perFraction.length; b++)
    sum += Math.abs(level.perFraction[b]!) + Math.abs(level.perOpened[b]!);
  return Math.max(sum / count, 1e-3);
}

/** A column for each side on which a row can be broken. */
function withBreaches(
  model: LinearModel,
  rowScale: Float64Array,
  heldCount: number,
  unit: number,
): LinearModel {
  const rows: number[] = [];
  const signs: number[] = [];
  const costs: number[] = [];
  for (let i = 0; i < rowScale.length + heldCount; i++) {
    const cost = unit / (rowScale[i] ?? 1);
    for (const [limit, sign] of [
      [model.rowLower[i]!, 1],
      [model.rowUpper[i]!, -1],
    ] as const)
      if (Number.isFinite(limit)) {
        rows.push(i);
        signs.push(sign);
        costs.push(cost);
      }
  }
  const extra = rows.length;
  const from = model.indices.length;
  const starts = new Int32Array(model.columnCount + extra + 1);
  starts.set(model.starts);
  for (let k = 0; k <= extra; k++) starts[model.columnCount + k] = from + k;
  const joined = (a: Float64Array, b: ArrayLike<number>): Float64Array => {
    const all = new Float64Array(a.length + b.length);
    all.set(a);
    all.set(b, a.length);
    return all;
  };
  const indices = new Int32Array(from + extra);
  indices.set(model.indices);
  indices.set(rows, from);
  return {
    ...model,
    columnCount: model.columnCount + extra,
    columnCost: joined(model.columnCost, costs),
    columnLower: joined(model.columnLower, new Float64Array(extra)),
    columnUpper: joined(model.columnUpper, new Float64Array(extra).fill(Infinity)),
    starts,
    indices,
    values: joined(model.values, signs),
  };
}

function withoutFloors(model: BlendModel): BlendModel {
  const rows = model.families.filter((f) => f.kind === 'floor').map((f) => f.countRow);
  if (rows.length === 0) return model;
  const lower = model.rows.lower.slice();
  for (const row of rows) lower[row] = -Infinity;
  // The families stay in place, empty, so that costs by family keep their index.
  const empty = new Int32Array(1);
  return {
    ...model,
    rows: { ...model.rows, lower },
    families: model.families.map((f) =>
      f.kind === 'floor' ? { ...f, values: [], starts: empty, members: new Int32Array(0) } : f,
    ),
  };
}

function noCost(model: BlendModel): Level {
  return {
    priority: 0,
    perFraction: new Float64Array(model.blocks.count),
    perOpened: new Float64Array(model.blocks.count),
    perHeelLitre: 0,
    perGlobal: new Float64Array(model.globals.length),
    perValue: new Float64Array(model.families.length),
  };
}
