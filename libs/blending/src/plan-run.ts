import { levelValue } from './aim-measure.ts';
import type { HeldLevel } from './assemble.ts';
import type { BlendModel } from './blend-model.ts';
import { wishedWindows } from './formulate.ts';
import type { BlendPlan, LevelOutcome } from './plan.ts';
import type { PlanOptions } from './plan-blend.ts';
import type { BlendProblem } from './problem.ts';
import { realise } from './realise.ts';
import type { SolveEffort } from './result.ts';
import { searchLevel, type LevelAnswer, type SearchLimits } from './search/level-search.ts';
import type { LinearModel } from './solver.ts';
import type { Stock } from './stock.ts';
import { massFractionFromStrength } from '@rundlet/alcoholometry';
import { tangentVolume, volumeError } from './vat-geometry.ts';

/** A gap this small counts as proven. */
export const PROVEN_GAP = 1e-6;

/** An error of the linear volume this small is of no account beside `PROVEN_GAP`. */
const EXACT_VOLUME = 2e-7;

export type RunEnd =
  | {
      readonly status: 'planned';
      readonly plan: BlendPlan;
      readonly levels: readonly LevelOutcome[];
      /** 0 when every level is proven. */
      readonly relativeGap: number;
    }
  | { readonly status: 'infeasible' | 'no-plan' }
  | {
      readonly status: 'failed';
      readonly message: string;
      readonly failedModel: LinearModel | null;
    };

/** One planning run: the levels of the aims one after another, each plan checked physically. */
export class PlanRun {
  readonly #problem: BlendProblem;
  readonly #stock: Stock;
  readonly #eligible: Int32Array;
  readonly #options: PlanOptions;
  readonly #started: number;
  readonly #steps: string[] = [];
  #plan: BlendPlan | null = null;

  constructor(
    problem: BlendProblem,
    stock: Stock,
    eligible: Int32Array,
    options: PlanOptions,
    started: number,
  ) {
    this.#problem = problem;
    this.#stock = stock;
    this.#eligible = eligible;
    this.#options = options;
    this.#started = started;
  }

  effort(): SolveEffort {
    return {
      eligibleCasks: this.#eligible.length,
      seconds: this.#options.clock() - this.#started,
      solverName: this.#options.solver.name,
      solverCalls: this.#steps.length,
      steps: this.#steps,
    };
  }

  levels(modelFor: (volume: 'inside' | 'outside') => BlendModel): RunEnd {
    const exact = this.#volumeIsExact();
    const inside = modelFor('inside');
    const outside = exact ? inside : modelFor('outside');
    const outcomes: LevelOutcome[] = [];
    const held: HeldLevel[] = [];
    for (let k = 0; k < inside.levels.length; k++) {
      const { priority } = inside.levels[k]!;
      let answer = this.#search(outside, k, held);
      let taken = answer.draws !== null && this.#take(answer, priority);
      let { bound } = answer;
      if (answer.status === 'failed')
        return { status: 'failed', message: answer.step, failedModel: answer.failedModel };
      if (answer.status === 'infeasible' && !this.#plan) return { status: 'infeasible' };
      if (!exact && !taken && answer.draws) {
        // The plan used the slack of the outer volume: plan within the inner one, keep the bound.
        answer = this.#search(inside, k, held);
        taken = answer.draws !== null && this.#take(answer, priority);
        bound ??= answer.bound;
      }
      if (!this.#plan) {
        if (answer.draws)
          return {
            status: 'failed',
            message: 'its plan does not hold when computed from masses',
            failedModel: null,
          };
        return { status: 'no-plan' };
      }
      const value = levelValue(this.#plan.aims, priority);
      const least = Math.min(value, bound ?? -Infinity);
      outcomes.push({ priority, value, bound: least, relativeGap: gapOf(value, least) });
      held.push({ level: inside.levels[k]!, most: value + 1e-8 * Math.max(1, Math.abs(value)) });
    }
    const open = outcomes.find((level) => level.relativeGap > PROVEN_GAP);
    return {
      status: 'planned',
      plan: this.#plan!,
      levels: outcomes,
      relativeGap: open?.relativeGap ?? 0,
    };
  }

  #search(model: BlendModel, index: number, held: readonly HeldLevel[]): LevelAnswer {
    const { options, level } = { options: this.#options, level: model.levels[index]! };
    const limits: SearchLimits = {
      solver: options.solver,
      clock: options.clock,
      deadline: this.#started + options.timeLimitSeconds,
      relativeGap: Math.max(options.targetRelativeGap ?? 0, PROVEN_GAP / 2),
      absoluteGap: 1e-9,
      seed: options.seed ?? 0,
      method: options.method ?? 'auto',
      shouldStop: () => options.shouldStop?.() ?? false,
      onProgress: (value, bound) => {
        options.onProgress?.({
          stage: value === null ? 'relaxing' : 'searching',
          seconds: options.clock() - this.#started,
          priority: level.priority,
          value,
          bound,
          relativeGap: value !== null && bound !== null ? gapOf(value, bound) : null,
          casks: this.#plan?.draws.length ?? null,
        });
      },
    };
    const answer = searchLevel(model, level, held, limits);
    this.#steps.push(`level ${level.priority}: ${answer.step}`);
    return answer;
  }

  /** Keeps the plan of an answer when it holds physically and is no worse than the one kept. */
  #take(answer: LevelAnswer, priority: number): boolean {
    const plan = realise(this.#problem, this.#stock, answer.draws ?? [], answer.waterKg);
    if (!plan || plan.wishes.some((outcome) => !outcome.met)) return false;
    if (this.#plan) {
      // A later level may not undo what an earlier one reached, nor get worse than the start.
      const before = levelValue(this.#plan.aims, priority);
      if (levelValue(plan.aims, priority) > before) return true;
    }
    this.#plan = plan;
    return true;
  }

  /** Whether the tangent volume is as good as exact within the strength window. */
  #volumeIsExact(): boolean {
    const [low, high] = wishedWindows(this.#problem).percentVol;
    const error = volumeError(tangentVolume(massFractionFromStrength((low + high) / 2)), low, high);
    return error.most - error.least <= EXACT_VOLUME;
  }
}

/** (value − bound) over the size of the value. */
export function gapOf(value: number, bound: number): number {
  return Math.max(0, value - bound) / Math.max(Math.abs(value), 1e-9);
}
