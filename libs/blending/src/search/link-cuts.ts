import type { LinearModel } from '../solver.ts';
import type { Cut } from './mir-cuts.ts';
import { rowsOf } from './row-matrix.ts';

/** x ≤ y for a yes/no column or draw x and a yes/no column y. */
export interface Link {
  readonly x: number;
  readonly y: number;
}

/**
 * Rows Σ x − k·y ≤ 0 with k members say x ≤ y for each member, which is stronger in the relaxation
 * but k rows instead of one: the separate links are added as cuts where they are broken.
 */
export function linksOf(model: LinearModel): Link[] {
  const rows = rowsOf(model);
  const links: Link[] = [];
  for (let i = 0; i < model.rowCount; i++) {
    if (model.rowUpper[i] !== 0 || model.rowLower[i] !== -Infinity) continue;
    let y = -1;
    let sum = 0;
    let members = 0;
    let plain = true;
    for (let e = rows.starts[i]!; e < rows.starts[i + 1]! && plain; e++) {
      const j = rows.columns[e]!;
      const value = rows.values[e]!;
      const draw = (model.mostDraw?.[j] ?? 0) > 0;
      if ((model.integer?.[j] !== 1 && !draw) || model.columnUpper[j]! > 1) plain = false;
      else if (value < 0 && y < 0 && !draw) y = e;
      else if (value > 0) {
        sum += value;
        members++;
      } else plain = false;
    }
    if (!plain || y < 0 || members === 0) continue;
    if (Math.abs(rows.values[y]! + sum) > 1e-9 * sum) continue;
    for (let e = rows.starts[i]!; e < rows.starts[i + 1]!; e++)
      if (e !== y) links.push({ x: rows.columns[e]!, y: rows.columns[y]! });
  }
  return links;
}

/** The links that the point breaks most, as cuts, leaving out those already there. */
export function separateLinks(
  links: readonly Link[],
  x: Float64Array,
  present: readonly Cut[],
  most: number,
): Cut[] {
  const known = new Set(
    present
      .filter((cut) => cut.columns.length === 2)
      .map((cut) => `${cut.columns[0]!},${cut.columns[1]!}`),
  );
  return links
    .map((link) => ({ link, broken: x[link.x]! - x[link.y]! }))
    .filter(
      ({ link, broken }) =>
        broken > 1e-4 && !known.has(`${Math.min(link.x, link.y)},${Math.max(link.x, link.y)}`),
    )
    .sort((a, b) => b.broken - a.broken)
    .slice(0, most)
    .map(({ link, broken }) => ({
      columns: Int32Array.of(Math.min(link.x, link.y), Math.max(link.x, link.y)),
      values: link.x < link.y ? Float64Array.of(1, -1) : Float64Array.of(-1, 1),
      upper: 0,
      efficacy: broken,
    }));
}
