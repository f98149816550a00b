import type { LinearModel } from './solver.ts';

/**
 * A model as free-format MPS text, which every solver reads: for handing to a solver that is a program of its own, and
 * for keeping a model that made a solver fail. Rows with two ends are written as ranges.
 *
 * @param title what follows NAME; some readers take the first lines for fixed columns unless it ends in the word FREE
 */
export function freeMps(model: LinearModel, title = 'blend'): string {
  const rows = Array.from({ length: model.rowCount }, (_, i) => rowOf(model, i));
  return [
    `NAME ${title}`,
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
