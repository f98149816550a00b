import type { LinearModel } from './solver.ts';

/**
 * A model as free-format MPS text, which every solver reads: for handing to a solver that is a
 * program of its own, and for keeping a model that made a solver fail.
 */
export function freeMps(model: LinearModel, name = 'BLEND'): string {
  // Without the word FREE some readers take the first lines for fixed columns.
  const lines: string[] = [`NAME ${name} FREE`, 'ROWS', ' N COST'];
  const ranged: string[] = [];
  const sides: string[] = [];
  for (let i = 0; i < model.rowCount; i++) {
    const low = model.rowLower[i]!;
    const high = model.rowUpper[i]!;
    const type = low === high ? 'E' : low > -Infinity ? 'G' : high < Infinity ? 'L' : 'N';
    lines.push(` ${type} R${i}`);
    const side = type === 'L' ? high : low;
    if (type !== 'N' && side !== 0) sides.push(` RHS R${i} ${side}`);
    if (type === 'G' && high < Infinity) ranged.push(` RANGE R${i} ${high - low}`);
  }
  lines.push('COLUMNS');
  const bounds: string[] = [];
  for (let j = 0; j < model.columnCount; j++) {
    // A column without entries must be named all the same.
    lines.push(` C${j} COST ${model.columnCost[j]!}`);
    for (let e = model.starts[j]!; e < model.starts[j + 1]!; e++)
      lines.push(` C${j} R${model.indices[e]!} ${model.values[e]!}`);
    const low = model.columnLower[j]!;
    const high = model.columnUpper[j]!;
    if (low === high) bounds.push(` FX BOUND C${j} ${low}`);
    // Every whole column is a yes or no.
    else if (model.integer?.[j] === 1) bounds.push(` BV BOUND C${j}`);
    else {
      bounds.push(low === -Infinity ? ` MI BOUND C${j}` : ` LO BOUND C${j} ${low}`);
      bounds.push(high === Infinity ? ` PL BOUND C${j}` : ` UP BOUND C${j} ${high}`);
    }
  }
  lines.push('RHS', ...sides);
  if (ranged.length > 0) lines.push('RANGES', ...ranged);
  lines.push('BOUNDS', ...bounds, 'ENDATA', '');
  return lines.join('\n');
}
