import {
  assemble,
  fractionsOf,
  wholeStock,
  type AssembledModel,
  type HeldLevel,
} from '../assemble.ts';
import type { BlendModel, Level } from '../blend-model.ts';
import type { Draw } from '../realise.ts';
import type { LinearModel, SolveOutcome, SolverPort } from '../solver.ts';
import { solveFewRows } from './few-rows-solver.ts';
import { FEW_ROWS, searchByCore } from './core-search.ts';
import { reduceModel } from './reduced-model.ts';

/** Casks from which on the search goes by prices and cores. */
const MANY_BLOCKS = 300;

export interface SearchLimits {
  readonly solver: SolverPort;
  readonly clock: () => number;
  /** By the clock. */
  readonly deadline: number;
  readonly relativeGap: number;
  readonly absoluteGap: number;
  readonly seed: number;
  /** `solver`: hand everything to the solver as it is. */
  readonly method: 'auto' | 'solver';
  readonly shouldStop: () => boolean;
  readonly onProgress: (value: number | null, bound: number | null) => void;
}

export interface LevelAnswer {
  readonly status: SolveOutcome['status'];
  readonly draws: readonly Draw[] | null;
  readonly waterKg: number;
  readonly value: number | null;
  readonly bound: number | null;
  /** What was done, for the record. */
  readonly step: string;
  /** The model that a solver failed on. */
  readonly failedModel: LinearModel | null;
}

/** The best plan for one level of the aims, with the earlier levels held. */
export function searchLevel(
  model: BlendModel,
  level: Level,
  held: readonly HeldLevel[],
  limits: SearchLimits,
): LevelAnswer {
  if (limits.method === 'auto' && model.blocks.count > MANY_BLOCKS) {
    const answer = searchByCore(model, level, held, { ...limits, absoluteGap: gapStep(level) });
    return answer.status === 'optimal' && gridOf(level) > 0
      ? { ...answer, bound: answer.value }
      : answer;
  }
  const assembleFor = (own: boolean): AssembledModel =>
    assemble(model, level, wholeStock(model), { integer: true, held, asDraws: own });
  let assembled = assembleFor(limits.method === 'auto');
  const few = limits.method === 'auto' && reduceModel(assembled.model).model.rowCount <= FEW_ROWS;
  if (!few) assembled = assembleFor(false);
  const options = {
    timeLimitSeconds: limits.deadline - limits.clock(),
    relativeGap: limits.relativeGap,
    absoluteGap: gapStep(level),
    seed: limits.seed,
    shouldStop: limits.shouldStop,
    onProgress: limits.onProgress,
  };
  const outcome = few
    ? solveFewRows(assembled.model, options, limits.clock)
    : limits.solver.solve(assembled.model, options);
  const { columnValues } = outcome;
  const name = few ? 'own branch and bound' : limits.solver.name;
  return {
    status: outcome.status,
    draws:
      columnValues &&
      fractionsOf(assembled, columnValues).map(({ block, fraction, whole }) => ({
        cask: model.blocks.cask[block]!,
        fraction,
        whole,
      })),
    waterKg: columnValues?.[assembled.globalColumn[model.waterColumn]!] ?? 0,
    value: outcome.value,
    bound: outcome.status === 'optimal' ? closedBound(outcome, level) : outcome.bound,
    step: `${name} on ${assembled.model.columnCount} columns, ${assembled.model.rowCount} rows: ${outcome.status} (${outcome.message})`,
    failedModel: outcome.status === 'failed' ? assembled.model : null,
  };
}

/**
 * Values of a level that counts whole things lie on a grid: nothing is lost by leaving a gap of just
 * less than one step open.
 */
function gapStep(level: Level): number {
  const step = gridOf(level);
  return step > 0 ? step * (1 - 1e-6) : 1e-9;
}

function closedBound(outcome: SolveOutcome, level: Level): number | null {
  return gridOf(level) > 0 ? outcome.value : outcome.bound;
}

/** The step of a level's values when only openings cost, in whole multiples of it; else 0. */
function gridOf(level: Level): number {
  if (level.perHeelLitre !== 0) return 0;
  if (level.perFraction.some((c) => c !== 0) || level.perGlobal.some((c) => c !== 0)) return 0;
  let step = 0;
  for (const costs of [level.perOpened, level.perValue])
    for (const cost of costs) {
      if (cost === 0) continue;
      if (step === 0) step = cost;
      else if (Math.abs(cost / step - Math.round(cost / step)) > 1e-9) {
        if (Math.abs(step / cost - Math.round(step / cost)) > 1e-9) return 0;
        step = cost;
      }
    }
  return step;
}
