/** What a solver failed on, kept so that somebody can look into it. */
import { mkdirSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import type { BlendProblem, LinearModel, SolverPort } from '@rundlet/blending';

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
  return keep(dataFolder, now, 'mps', typeof model === 'string' ? model : mpsText(model));
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

/** The model in free MPS, which every solver reads. Rows with two ends are written as ranges. */
export function mpsText(model: LinearModel): string {
  const rows = Array.from({ length: model.rowCount }, (_, i) => rowOf(model, i));
  return [
    'NAME blend',
    'ROWS',
    ' N cost',
    ...rows.map(({ type }, i) => ` ${type} r${String(i)}`),
    'COLUMNS',
    ...columnLines(model),
    'RHS',
    ...rows.flatMap(({ rhs }, i) => (rhs === 0 ? [] : [` rhs r${String(i)} ${String(rhs)}`])),
    'RANGES',
    ...rows.flatMap(({ range }, i) =>
      range === null ? [] : [` rng r${String(i)} ${String(range)}`],
    ),
    'BOUNDS',
    ...boundLines(model),
    'ENDATA',
    '',
  ].join('\n');
}

function rowOf(model: LinearModel, i: number): { type: string; rhs: number; range: number | null } {
  const low = model.rowLower[i] ?? -Infinity;
  const high = model.rowUpper[i] ?? Infinity;
  if (low === high) return { type: 'E', rhs: low, range: null };
  if (Number.isFinite(low) && Number.isFinite(high))
    return { type: 'L', rhs: high, range: high - low };
  if (Number.isFinite(high)) return { type: 'L', rhs: high, range: null };
  if (Number.isFinite(low)) return { type: 'G', rhs: low, range: null };
  return { type: 'N', rhs: 0, range: null };
}

function* columnLines(model: LinearModel): Generator<string> {
  let inIntegers = false;
  let markers = 0;
  for (let j = 0; j < model.columnCount; j++) {
    const integer = model.integer?.[j] === 1;
    if (integer !== inIntegers) {
      yield ` m${String(markers++)} 'MARKER' '${integer ? 'INTORG' : 'INTEND'}'`;
      inIntegers = integer;
    }
    const column = `c${String(j)}`;
    // A column without any entry has to be named all the same.
    yield ` ${column} cost ${String(model.columnCost[j] ?? 0)}`;
    for (let k = model.starts[j] ?? 0; k < (model.starts[j + 1] ?? 0); k++)
      yield ` ${column} r${String(model.indices[k])} ${String(model.values[k])}`;
  }
  if (inIntegers) yield ` m${String(markers)} 'MARKER' 'INTEND'`;
}

function* boundLines(model: LinearModel): Generator<string> {
  for (let j = 0; j < model.columnCount; j++) {
    const low = model.columnLower[j] ?? 0;
    const high = model.columnUpper[j] ?? Infinity;
    const column = `c${String(j)}`;
    if (low === -Infinity && high === Infinity) yield ` FR b ${column}`;
    else {
      yield low === -Infinity ? ` MI b ${column}` : ` LO b ${column} ${String(low)}`;
      yield high === Infinity ? ` PL b ${column}` : ` UP b ${column} ${String(high)}`;
    }
  }
}
