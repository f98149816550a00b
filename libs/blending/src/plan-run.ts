import { prioritiesOf } from './aim-costs.ts';
import { levelValue } from './aim-measure.ts';
import { assemble, wholeStock, type HeldLevel } from './assemble.ts';
import type { BlendModel } from './blend-model.ts';
import { wishedWindows, type Windows } from './formulate.ts';
import { wishOf } from './problem-check.ts';
import type { BlendPlan, LevelOutcome } from './plan.ts';
import type { PlanOptions } from './plan-blend.ts';
import type { BlendProblem } from './problem.ts';
import { realise } from './realise.ts';
import type { FailureReason, SolveEffort } from './result.ts';
import { searchLevel, type LevelAnswer, type SearchLimits } from './search/level-search.ts';
import type { LinearModel } from './solver.ts';
import type { Stock } from './stock.ts';
import { massFractionFromStrength } from '@rundlet/alcoholometry';
import { tangentVolume, volumeError } from './vat-geometry.ts';

/** A gap this small counts as proven. */
export const PROVEN_GAP = 1e-6;

/** A difference this small counts as none: values may be 0, where a relative gap says nothing. */
const ABSOLUTE_GAP = 1e-9;

/** An error of the linear volume this small is of no account beside `PROVEN_GAP`. */
const EXACT_VOLUME = 2e-7;

export type ModelMaker = (volume: 'inside' | 'outside', windows?: Windows) => BlendModel;

interface Piece {
  readonly windows: Windows;
  readonly bound: number;
}

interface LevelEnd {
  readonly priority: number;
  readonly bound: number;
  readonly infeasible: boolean;
  readonly failed: string | null;
  readonly reason: FailureReason;
  readonly failedModel: LinearModel | null;
}

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
      readonly reason: FailureReason;
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

  levels(modelFor: ModelMaker): RunEnd {
    const outcomes: LevelOutcome[] = [];
    const most: number[] = [];
    const count = prioritiesOf(this.#problem).length;
    for (let k = 0; k < count; k++) {
      const end = this.#planLevel(modelFor, k, most);
      if (end.failed && !this.#plan)
        return {
          status: 'failed',
          reason: end.reason,
          message: end.failed,
          failedModel: end.failedModel,
        };
      if (!this.#plan) return { status: end.infeasible ? 'infeasible' : 'no-plan' };
      const { priority } = end;
      const value = levelValue(this.#plan.aims, priority);
      let bound = Math.min(value, end.bound);
      const resolution = this.#resolution(priority);
      if (value - bound <= Math.max(resolution, 2 * ABSOLUTE_GAP)) bound = value;
      outcomes.push({ priority, value, bound, relativeGap: gapOf(value, bound) });
      most.push(value + resolution + 1e-8 * Math.max(1, Math.abs(value)));
    }
    const open = outcomes.find((level) => level.relativeGap > PROVEN_GAP);
    return {
      status: 'planned',
      plan: this.#plan!,
      levels: outcomes,
      relativeGap: open?.relativeGap ?? 0,
    };
  }

  /**
   * One level of the aims. The linear volume is exact at one strength only, so a wide strength window
   * is searched with a volume window that loses no real plan; while its plan is not real, or worse
   * than its bound by more than counts, the strength window is halved.
   */
  #planLevel(modelFor: ModelMaker, k: number, most: readonly number[]): LevelEnd {
    const wished = wishedWindows(this.#problem);
    const open: Piece[] = [{ windows: wished, bound: -Infinity }];
    let closed = Infinity;
    let priority = 1;
    let failed: string | null = null;
    let reason: FailureReason = 'solver';
    let failedModel: LinearModel | null = null;
    const bound = (): number => open.reduce((least, piece) => Math.min(least, piece.bound), closed);
    let searched = 0;
    while (open.length > 0 && (searched === 0 || this.#hasTime())) {
      open.sort((a, b) => b.bound - a.bound);
      const piece = open.pop()!;
      const best = this.#plan && searched > 0 ? levelValue(this.#plan.aims, priority) : Infinity;
      if (piece.bound >= best - this.#tolerance(best, priority)) {
        closed = Math.min(closed, piece.bound);
        continue;
      }
      searched++;
      const exact = volumeIsExact(piece.windows);
      const model = modelFor(exact ? 'inside' : 'outside', piece.windows);
      ({ priority } = model.levels[k]!);
      const held = most.map((value, h) => ({ level: model.levels[h]!, most: value }));
      const answer = this.#search(model, k, held, exact ? 1 : 0.5);
      if (answer.status === 'infeasible') continue;
      if (answer.status === 'failed') {
        failed = answer.step;
        failedModel = answer.failedModel;
      }
      const real = answer.draws !== null && this.#take(answer, priority);
      if (answer.draws && !real && exact && !this.#plan) {
        failed = 'its plan does not hold when computed from masses';
        reason = 'not-real';
        failedModel = assemble(model, model.levels[k]!, wholeStock(model), {
          integer: true,
          held,
        }).model;
      }
      const least = Math.max(piece.bound, answer.bound ?? -Infinity);
      const reached = this.#plan ? levelValue(this.#plan.aims, priority) : Infinity;
      if (exact || (real && reached - least <= this.#tolerance(reached, priority))) {
        closed = Math.min(closed, least);
        continue;
      }
      if (!real) this.#planInside(modelFor, k, most, piece.windows);
      for (const windows of halves(piece.windows)) open.push({ windows, bound: least });
    }
    return {
      priority,
      bound: bound(),
      infeasible: bound() === Infinity && !failed,
      failed,
      reason,
      failedModel,
    };
  }

  /** A plan certain to be real, for a piece whose own was not. */
  #planInside(modelFor: ModelMaker, k: number, most: readonly number[], windows: Windows): void {
    if (!this.#hasTime()) return;
    const model = modelFor('inside', windows);
    const held = most.map((value, h) => ({ level: model.levels[h]!, most: value }));
    const answer = this.#search(model, k, held, 0.5);
    if (answer.draws) this.#take(answer, model.levels[k]!.priority);
  }

  #hasTime(): boolean {
    const { clock, timeLimitSeconds, shouldStop } = this.#options;
    return clock() - this.#started < timeLimitSeconds && !(shouldStop?.() ?? false);
  }

  #tolerance(value: number, priority: number): number {
    if (!Number.isFinite(value)) return 0;
    const relative = Math.max(this.#options.targetRelativeGap ?? 0, PROVEN_GAP);
    return Math.max(relative * Math.abs(value), this.#resolution(priority));
  }

  /** What the linear volume's error is worth to a level that aims at a volume. */
  #resolution(priority: number): number {
    const { highLitresAt20C } = wishOf(this.#problem, 'volume');
    return this.#problem.aims.reduce(
      (sum, aim) =>
        aim.kind === 'target' && (aim.priority ?? 1) === priority
          ? sum + (aim.weight ?? 1) * aim.perLitre * highLitresAt20C * EXACT_VOLUME
          : sum,
      0,
    );
  }

  #search(
    model: BlendModel,
    index: number,
    held: readonly HeldLevel[],
    share: number,
  ): LevelAnswer {
    const { options, level } = { options: this.#options, level: model.levels[index]! };
    const left = this.#started + options.timeLimitSeconds - options.clock();
    const limits: SearchLimits = {
      solver: options.solver,
      clock: options.clock,
      deadline: options.clock() + share * left,
      relativeGap: Math.max(options.targetRelativeGap ?? 0, PROVEN_GAP / 2),
      absoluteGap: ABSOLUTE_GAP,
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
}

/** Whether the tangent volume is as good as exact within the strength window. */
function volumeIsExact({ percentVol: [low, high] }: Windows): boolean {
  const error = volumeError(tangentVolume(massFractionFromStrength((low + high) / 2)), low, high);
  return error.most - error.least <= EXACT_VOLUME;
}

function halves({ litres, percentVol: [low, high] }: Windows): Windows[] {
  const middle = (low + high) / 2;
  return [
    { litres, percentVol: [low, middle] },
    { litres, percentVol: [middle, high] },
  ];
}

/** (value − bound) over the size of the value. */
export function gapOf(value: number, bound: number): number {
  return Math.max(0, value - bound) / Math.max(Math.abs(value), 1e-9);
}
