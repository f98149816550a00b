import { assemble, wholeStock } from './assemble.ts';
import type { BlendModel, Level } from './blend-model.ts';
import { caskFilters, eligibleCasks } from './eligibility.ts';
import { formulate } from './formulate.ts';
import type { BlendProblem } from './problem.ts';
import { DualSimplex } from './search/dual-simplex.ts';
import { solveFewRows } from './search/few-rows-solver.ts';
import { reduceModel } from './search/reduced-model.ts';
import { scaled } from './search/scaling.ts';
import type { SolverPort } from './solver.ts';
import { stockOf, type Stock } from './stock.ts';

const FEW_ROWS = 260;

export interface FeasibilityLimits {
  readonly solver: SolverPort;
  readonly clock: () => number;
  readonly deadline: number;
  readonly shouldStop: () => boolean;
}

/** What is drawn, as fractions, in a plan found while looking for feasibility. */
export interface FoundDraws {
  readonly fractions: readonly { readonly cask: number; readonly fraction: number }[];
  readonly waterKg: number;
  /** Sum of the slack columns. */
  readonly slack: number;
}

export type Feasibility =
  | { readonly answer: 'yes'; readonly found: FoundDraws }
  | { readonly answer: 'no' }
  | { readonly answer: 'unknown' };

/**
 * Whether a problem has a plan: with casks divisible (`relaxed`, quick and certain) or whole. With a
 * slack wish its rows may be broken and the least breach is sought.
 */
export class FeasibilityTests {
  readonly #limits: FeasibilityLimits;
  readonly #stocks = new Map<BlendProblem['casks'], Stock>();
  calls = 0;

  constructor(limits: FeasibilityLimits) {
    this.#limits = limits;
  }

  get secondsLeft(): number {
    return this.#limits.deadline - this.#limits.clock();
  }

  test(
    problem: BlendProblem,
    how: 'relaxed' | 'whole',
    options: { slackOn?: string; seconds?: number; dropFilters?: ReadonlySet<string> } = {},
  ): Feasibility {
    if (this.secondsLeft <= 0 || this.#limits.shouldStop()) return { answer: 'unknown' };
    this.calls++;
    const stock = this.#stockOf(problem);
    const dropped = options.dropFilters;
    const filters = caskFilters(problem).filter((filter) => !dropped?.has(filter.wishId));
    const eligible = eligibleCasks(problem, filters);
    const model = formulate(problem, stock, eligible, {
      volume: 'outside',
      ...(options.slackOn !== undefined && { slackOn: options.slackOn }),
    });
    const seconds = Math.min(this.secondsLeft, options.seconds ?? Infinity);
    return how === 'relaxed' ? this.#relaxed(model, seconds) : this.#whole(model, seconds);
  }

  #relaxed(model: BlendModel, seconds: number): Feasibility {
    const assembled = assemble(model, slackLevel(model), wholeStock(model), { integer: false });
    const reduced = reduceModel(assembled.model);
    if (reduced.infeasible) return { answer: 'no' };
    let values: Float64Array | null;
    if (reduced.model.rowCount <= FEW_ROWS) {
      const near1 = scaled(reduced.model);
      const simplex = new DualSimplex(near1.model);
      const end = simplex.solve(Infinity, 50_000);
      if (end === 'infeasible') return { answer: 'no' };
      if (end !== 'optimal') return { answer: 'unknown' };
      values = assembled.model.columnLower.slice();
      reduced.columns.forEach((j, k) => (values![j] = simplex.x[k]! * near1.columnFactor[k]!));
    } else {
      const outcome = this.#limits.solver.solve(assembled.model, { timeLimitSeconds: seconds });
      if (outcome.status === 'infeasible') return { answer: 'no' };
      values = outcome.status === 'optimal' ? outcome.columnValues : null;
    }
    if (!values) return { answer: 'unknown' };
    const all = values;
    const fractions: { cask: number; fraction: number }[] = [];
    assembled.free.forEach((block, k) => {
      let fraction = 0;
      for (const column of [assembled.wholeColumn[k]!, assembled.fractionColumn[k]!])
        if (column >= 0) fraction += all[column]!;
      if (fraction > 1e-9) fractions.push({ cask: model.blocks.cask[block]!, fraction });
    });
    return { answer: 'yes', found: this.#found(model, assembled.globalColumn, all, fractions) };
  }

  #whole(model: BlendModel, seconds: number): Feasibility {
    const level = slackLevel(model);
    const assembled = assemble(model, level, wholeStock(model), { integer: true });
    const few = reduceModel(assembled.model).model.rowCount <= FEW_ROWS;
    const options = {
      timeLimitSeconds: seconds,
      relativeGap: 1e-3,
      absoluteGap: 1e-6,
      shouldStop: this.#limits.shouldStop,
    };
    const outcome = few
      ? solveFewRows(assembled.model, options, this.#limits.clock)
      : this.#limits.solver.solve(assembled.model, options);
    if (outcome.status === 'infeasible') return { answer: 'no' };
    const { columnValues } = outcome;
    if (!columnValues) return { answer: 'unknown' };
    const fractions: { cask: number; fraction: number }[] = [];
    assembled.free.forEach((block, k) => {
      const x = assembled.wholeColumn[k]!;
      const f = assembled.fractionColumn[k]!;
      const fraction = x >= 0 && columnValues[x]! > 0.5 ? 1 : f >= 0 ? columnValues[f]! : 0;
      if (fraction > 1e-9) fractions.push({ cask: model.blocks.cask[block]!, fraction });
    });
    return {
      answer: 'yes',
      found: this.#found(model, assembled.globalColumn, columnValues, fractions),
    };
  }

  #found(
    model: BlendModel,
    globalColumn: Int32Array,
    values: Float64Array,
    fractions: FoundDraws['fractions'],
  ): FoundDraws {
    return {
      fractions,
      waterKg: values[globalColumn[model.waterColumn]!]!,
      slack: model.slackColumns.reduce((sum, g) => sum + values[globalColumn[g]!]!, 0),
    };
  }

  #stockOf(problem: BlendProblem): Stock {
    let stock = this.#stocks.get(problem.casks);
    if (!stock) {
      stock = stockOf(problem.casks);
      this.#stocks.set(problem.casks, stock);
    }
    return stock;
  }
}

/** Minimises the breach of the slack wish and nothing else. */
function slackLevel(model: BlendModel): Level {
  const perGlobal = new Float64Array(model.globals.length);
  for (const g of model.slackColumns) perGlobal[g] = 1;
  return {
    priority: 0,
    perFraction: new Float64Array(model.blocks.count),
    perOpened: new Float64Array(model.blocks.count),
    perHeelLitre: 0,
    perGlobal,
    perValue: new Float64Array(model.families.length),
  };
}
