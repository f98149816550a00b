/** What a solver failed on, kept so that somebody can look into it. */
import { mkdirSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { freeMps, type BlendProblem, type LinearModel, type SolverPort } from '@rundlet/blending';

/** Keeps hold of the last model a solver was given; its text is written only when it is wanted. */
export function rememberingSolver(solver: SolverPort): {
  readonly solver: SolverPort;
  readonly lastModel: () => LinearModel | null;
} {
  let last: LinearModel | null = null;
  return {
    solver: {
      name: solver.name,
      solve(model, options) {
        last = model;
        return solver.solve(model, options);
      },
    },
    lastModel: () => last,
  };
}

/** @returns the file's path */
export function keepModel(dataFolder: string, model: LinearModel | string, now: Date): string {
  return keep(dataFolder, now, 'mps', typeof model === 'string' ? model : freeMps(model));
}

/** Where there is no model yet, the problem itself is kept. @returns the file's path */
export function keepProblem(dataFolder: string, problem: BlendProblem, now: Date): string {
  return keep(dataFolder, now, 'json', JSON.stringify(problem));
}

function keep(dataFolder: string, now: Date, extension: string, text: string): string {
  const folder = join(dataFolder, 'failed-models');
  mkdirSync(folder, { recursive: true, mode: 0o700 });
  const file = join(folder, `${now.toISOString().replaceAll(':', '-')}.${extension}`);
  writeFileSync(file, text, { mode: 0o600 });
  return file;
}
