import type { BlendModel, Level } from './blend-model.ts';
import { caskFilters, eligibleCasks } from './eligibility.ts';
import { formulate } from './formulate.ts';
import type { BlendProblem } from './problem.ts';
import { searchLevel, type SearchLimits } from './search/level-search.ts';
import { sift, siftFeasibility } from './search/sifting.ts';
import type { SolverPort } from './solver.ts';
import { stockOf, type Stock } from './stock.ts';

/** Of a breach of any other row, beside the slack wish's own: never worth it. */
const BREACH_COST = 1e6;

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
}

export type Feasibility =
  | { readonly answer: 'yes'; readonly found: FoundDraws }
  /** `blamed`: the wishes whose rows the proof uses; null when it tells nothing of them. */
  | { readonly answer: 'no'; readonly blamed: ReadonlySet<string> | null }
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

  /** With casks divisible: by sifting, whose "no" is proven by its prices. */
  #relaxed(model: BlendModel, seconds: number): Feasibility {
    const limits = this.#searchLimits(seconds);
    const end =
      model.slackColumns.length > 0
        ? sift(model, slackLevel(model), [], limits, BREACH_COST)
        : siftFeasibility(model, limits);
    if (end.status === 'infeasible')
      return { answer: 'no', blamed: blamed(model, end.multipliers) };
    if (end.status === 'stopped') return { answer: 'unknown' };
    const fractions: { cask: number; fraction: number }[] = [];
    end.drawn.forEach((fraction, block) => {
      if (fraction > 1e-9) fractions.push({ cask: model.blocks.cask[block]!, fraction });
    });
    return { answer: 'yes', found: { fractions, waterKg: end.globals[model.waterColumn]! } };
  }

  #whole(model: BlendModel, seconds: number): Feasibility {
    const limits = this.#searchLimits(seconds);
    // Without a slack any plan will do; the prices of an aim lead to one sooner than none.
    const answer =
      model.slackColumns.length > 0
        ? searchLevel(model, slackLevel(model), [], limits)
        : searchLevel(model, model.levels[0]!, [], { ...limits, relativeGap: 1 });
    if (answer.status === 'infeasible') return { answer: 'no', blamed: null };
    if (!answer.draws) return { answer: 'unknown' };
    return { answer: 'yes', found: { fractions: answer.draws, waterKg: answer.waterKg } };
  }

  #searchLimits(seconds: number): SearchLimits {
    const { solver, clock, shouldStop } = this.#limits;
    return {
      solver,
      clock,
      deadline: clock() + seconds,
      relativeGap: 1e-3,
      absoluteGap: 1e-6,
      seed: 0,
      method: 'auto',
      shouldStop,
      onProgress: () => undefined,
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

/** Wishes with a row that a proof of infeasibility charges. */
function blamed(model: BlendModel, multipliers: Float64Array | null): ReadonlySet<string> | null {
  if (!multipliers) return null;
  const ids = new Set<string>();
  model.rows.wishId.forEach((id, row) => {
    if (id !== null && Math.abs(multipliers[row]!) > 1e-12) ids.add(id);
  });
  return ids;
}
