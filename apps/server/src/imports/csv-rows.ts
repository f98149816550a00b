import Papa from 'papaparse';
import { fromSafe } from './csv.ts';

export interface CsvRow {
  /** Line of the file the row begins on, counted from 1. */
  readonly line: number;
  /** Trimmed text of a column; empty where there is none. */
  readonly cell: (column: string) => string;
}
export interface RowError {
  line: number;
  column: string | null;
  message: string;
}
export interface Columns {
  readonly required: readonly string[];
  readonly optional: readonly string[];
}

/**
 * Rows of a CSV file with a header. Comma, semicolon and tab are told apart by looking; a byte-order mark and blank lines are
 * passed over. Columns may come in any order.
 */
export function readRows(csv: string, columns: Columns): { rows: CsvRow[]; errors: RowError[] } {
  const errors: RowError[] = [];
  const rows: CsvRow[] = [];
  let header: string[] | null = null;
  let placeOf = new Map<string, number>();
  for (const { line, cells, fault } of physicalRows(csv)) {
    if (fault !== null) errors.push({ line, column: null, message: fault });
    if (header === null) {
      header = cells;
      placeOf = new Map(cells.map((name, i) => [name, i]));
      errors.push(...headerErrors(header, columns, line));
      if (errors.length > 0) break;
    } else if (cells.length !== header.length)
      errors.push({
        line,
        column: null,
        message: `has ${String(cells.length)} cells; the header has ${String(header.length)}`,
      });
    else {
      const row = cells.map(fromSafe);
      const places = placeOf;
      rows.push({ line, cell: (column) => row[places.get(column) ?? -1] ?? '' });
    }
  }
  if (header === null)
    errors.push({ line: 1, column: null, message: 'the file is empty; a header line is needed' });
  return { rows, errors };
}

function physicalRows(csv: string): { line: number; cells: string[]; fault: string | null }[] {
  const text = csv.replace(/^\uFEFF/, '');
  const found: { line: number; cells: string[]; fault: string | null }[] = [];
  let line = 1;
  let from = 0;
  Papa.parse<string[]>(text, {
    delimitersToGuess: [',', ';', '\t'],
    step({ data, errors, meta }) {
      const cells = data.map((cell) => cell.trim());
      const [error] = errors.filter((e) => e.type === 'Quotes');
      if (cells.some((cell) => cell !== '') || error)
        found.push({ line, cells, fault: error?.message ?? null });
      for (let i = from; i < meta.cursor; i++) if (text[i] === '\n') line += 1;
      from = meta.cursor;
    },
  });
  return found;
}

function headerErrors(header: readonly string[], columns: Columns, line: number): RowError[] {
  const known = [...columns.required, ...columns.optional];
  const wrong = header
    .filter((name) => !known.includes(name))
    .map((name) => ({
      line,
      column: name,
      message: `is not a column of this import; the columns are ${known.join(', ')}`,
    }));
  const twice = header
    .filter((name, i) => header.indexOf(name) !== i)
    .map((name) => ({ line, column: name, message: 'is in the header twice' }));
  const missing = columns.required
    .filter((name) => !header.includes(name))
    .map((name) => ({ line, column: name, message: 'is missing from the header' }));
  return [...wrong, ...twice, ...missing];
}
