import { OutOfRangeError } from '../out-of-range.ts';

/** A printed table in two variables. `null` marks a cell the print leaves empty. */
export type GridTable = {
  readonly rows: readonly number[];
  readonly columns: readonly number[];
  /** cells[i][j] belongs to rows[i] and columns[j]. */
  readonly cells: readonly (readonly (number | null)[])[];
};

/** The table as text could not be read; `line` counts from 1. */
export class TableFormatError extends RangeError {
  override readonly name = 'TableFormatError';
  readonly line: number;

  constructor(line: number, what: string) {
    super(`line ${line} of the table: ${what}`);
    this.line = line;
  }
}

function axisValue(text: string, line: number, before: number | undefined): number {
  const value = text === '' ? NaN : Number(text);
  if (!Number.isFinite(value)) throw new TableFormatError(line, `"${text}" is not a number`);
  if (before !== undefined && !(value > before)) {
    throw new TableFormatError(line, `${value} does not come after ${before}; axes must rise`);
  }
  return value;
}

/**
 * Reads a printed table from comma-separated text.
 *
 * First line: any heading, then the column values (for Table 1 of 27 CFR 30.61 the temperatures, °F).
 * Each further line: the row value (the hydrometer reading), then one cell per column; an empty cell has
 * nothing between its commas. Both axes rise; blank lines and lines that begin with # are passed over.
 *
 *     reading,71,72,73
 *     192,189.3,189.1,188.9
 *     193,190.4,190.2,190.0
 *
 * @throws TableFormatError naming the line
 */
export function parseGridTable(text: string): GridTable {
  const columns: number[] = [];
  const rows: number[] = [];
  const cells: (number | null)[][] = [];
  let headed = false;
  for (const [index, raw] of text.split(/\r\n|\r|\n/).entries()) {
    const line = index + 1;
    if (raw.trim() === '' || raw.trimStart().startsWith('#')) continue;
    const [first = '', ...rest] = raw.split(',').map((field) => field.trim());
    if (!headed) {
      for (const field of rest) columns.push(axisValue(field, line, columns.at(-1)));
      headed = true;
      continue;
    }
    rows.push(axisValue(first, line, rows.at(-1)));
    if (rest.length !== columns.length) {
      throw new TableFormatError(line, `${rest.length} cells, but ${columns.length} columns`);
    }
    cells.push(rest.map((field) => (field === '' ? null : axisValue(field, line, undefined))));
  }
  if (columns.length === 0) throw new TableFormatError(1, 'no column values');
  if (rows.length === 0) throw new TableFormatError(1, 'no rows');
  return { rows, columns, cells };
}

/** Where a value falls on an axis: the index at or below it and the share of the way to the next. */
function place(axis: readonly number[], value: number, quantity: string, unit: string) {
  const min = axis[0] ?? NaN;
  const max = axis.at(-1) ?? NaN;
  if (!(value >= min && value <= max)) {
    throw new OutOfRangeError(quantity, value, { min, max, unit }, 'the table ends there');
  }
  let index = axis.length - 1;
  while (index > 0 && (axis[index] ?? NaN) > value) index--;
  const low = axis[index] ?? NaN;
  const high = axis[index + 1];
  return { index, share: high === undefined ? 0 : (value - low) / (high - low) };
}

export type GridNames = {
  readonly row: string;
  readonly rowUnit: string;
  readonly column: string;
  readonly columnUnit: string;
};

/** The four cells about a place; a corner that the share does not reach is not asked for. */
function corners(table: GridTable, row: number, column: number, names: GridNames) {
  const r = place(table.rows, row, names.row, names.rowUnit);
  const c = place(table.columns, column, names.column, names.columnUnit);
  const cell = (down: number, right: number): number => {
    const value = table.cells[r.index + down]?.[c.index + right];
    if (value === null || value === undefined) {
      const printed = table.columns.filter((_, j) => table.cells[r.index + down]?.[j] != null);
      throw new OutOfRangeError(
        names.column,
        column,
        { min: printed[0] ?? NaN, max: printed.at(-1) ?? NaN, unit: names.columnUnit },
        `the table has no cell there for ${names.row} ${table.rows[r.index + down] ?? row}`,
      );
    }
    return value;
  };
  return { cell, rowShare: r.share, columnShare: c.share };
}

/**
 * Interpolates as 27 CFR 30.23 does: from the cell at or below the reading, add the row difference for the
 * fraction of the reading and the column difference for the fraction of the temperature.
 *
 * @throws OutOfRangeError beyond the table or at an empty cell
 */
export function interpolateByDifferences(
  table: GridTable,
  row: number,
  column: number,
  names: GridNames,
): number {
  const { cell, rowShare, columnShare } = corners(table, row, column, names);
  const base = cell(0, 0);
  const forRow = rowShare === 0 ? 0 : rowShare * (cell(1, 0) - base);
  const forColumn = columnShare === 0 ? 0 : columnShare * (cell(0, 1) - base);
  return base + forRow + forColumn;
}

/**
 * Bilinear interpolation between the four cells about a place.
 *
 * @throws OutOfRangeError beyond the table or at an empty cell
 */
export function interpolateBilinear(
  table: GridTable,
  row: number,
  column: number,
  names: GridNames,
): number {
  const { cell, rowShare, columnShare } = corners(table, row, column, names);
  const along = (down: number): number =>
    columnShare === 0
      ? cell(down, 0)
      : cell(down, 0) * (1 - columnShare) + cell(down, 1) * columnShare;
  return rowShare === 0 ? along(0) : along(0) * (1 - rowShare) + along(1) * rowShare;
}
