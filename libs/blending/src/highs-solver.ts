import type { Highs } from 'highs';
import type { LinearModel, SolveOptions, SolveOutcome, SolverPort } from './solver.ts';

/**
 * HiGHS compiled to WebAssembly as a solver. The caller loads it, since loading reads a file:
 * `highsSolver(await loadHighs())`.
 */
export function highsSolver(highs: Highs): SolverPort {
  return {
    name: `HiGHS ${highs.version.string} (WebAssembly)`,
    solve: (model, options) => solveWith(highs, model, options),
  };
}

function solveWith(highs: Highs, model: LinearModel, options: SolveOptions): SolveOutcome {
  const { callbackType, modelStatus } = highs.constants;
  try {
    return highs.withModel(
      {
        numCols: model.columnCount,
        numRows: model.rowCount,
        colCost: model.columnCost,
        colLower: model.columnLower,
        colUpper: model.columnUpper,
        rowLower: model.rowLower,
        rowUpper: model.rowUpper,
        matrix: {
          format: 'csc',
          numRows: model.rowCount,
          numCols: model.columnCount,
          starts: model.starts,
          indices: model.indices,
          values: model.values,
        },
        ...(model.integer && { integrality: Int32Array.from(model.integer) }),
      },
      (instance): SolveOutcome => {
        instance.options.set({
          output_flag: false,
          time_limit: Math.max(0.05, options.timeLimitSeconds),
          mip_rel_gap: options.relativeGap ?? 0,
          mip_abs_gap: options.absoluteGap ?? 1e-9,
          random_seed: options.seed ?? 0,
          // The relaxations are already bare: presolving them takes longer than solving them.
          presolve: model.integer ? 'choose' : 'off',
          // Plans are checked to 1e-7 of their limits afterwards.
          mip_feasibility_tolerance: 1e-7,
        });
        if (options.heuristicEffort !== undefined)
          instance.options.set('mip_heuristic_effort', options.heuristicEffort);
        if (options.maxNodes !== undefined) instance.options.set('mip_max_nodes', options.maxNodes);
        if (options.cutoff !== undefined) instance.options.set('objective_bound', options.cutoff);
        if (options.start && model.integer) instance.setSolution({ colValue: options.start });
        instance.run(
          model.integer
            ? {
                [callbackType.mipInterrupt]: (event) => {
                  const { mip_primal_bound, mip_dual_bound } = event.data;
                  options.onProgress?.(finite(mip_primal_bound), finite(mip_dual_bound));
                  if (options.shouldStop?.()) event.interrupt();
                  return undefined;
                },
                [callbackType.mipImprovingSolution]: (event) => {
                  const { mip_solution, objective_function_value } = event.data;
                  if (mip_solution && objective_function_value !== undefined)
                    options.onIncumbent?.(mip_solution, objective_function_value);
                  return undefined;
                },
              }
            : {
                [callbackType.simplexInterrupt]: (event) => {
                  if (options.shouldStop?.()) event.interrupt();
                  return undefined;
                },
              },
        );
        const code = instance.getModelStatus();
        const feasible = instance.info.get('primal_solution_status') === 2;
        const solution = feasible ? instance.getSolution() : null;
        const value = feasible ? instance.getObjectiveValue() : null;
        const status: SolveOutcome['status'] =
          code === modelStatus.optimal || code === modelStatus.empty
            ? 'optimal'
            : code === modelStatus.infeasible
              ? 'infeasible'
              : code === modelStatus.unbounded || code === modelStatus.unboundedOrInfeasible
                ? 'unbounded'
                : code >= modelStatus.objectiveBound
                  ? 'limit'
                  : 'failed';
        return {
          status,
          message: `HiGHS model status ${code}`,
          value,
          bound: model.integer
            ? finite(Number(instance.info.get('mip_dual_bound')))
            : status === 'optimal'
              ? value
              : null,
          columnValues: solution?.colValue ?? null,
          rowDuals: !model.integer && solution ? solution.rowDual : null,
        };
      },
    );
  } catch (error) {
    return {
      status: 'failed',
      message: error instanceof Error ? error.message : String(error),
      value: null,
      bound: null,
      columnValues: null,
      rowDuals: null,
    };
  }
}

function finite(value: number | undefined): number | null {
  return value !== undefined && Number.isFinite(value) && Math.abs(value) < 1e29 ? value : null;
}
