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

/** Some rows of a file, and what is wrong with its lines so far. */
export interface RowsRead {
  readonly rows: readonly CsvRow[];
  readonly errors: readonly RowError[];
}

/**
 * Rows of a CSV file with a header, piece by piece. Comma, semicolon and tab are told apart by looking; a byte-order mark and blank
 * lines are passed over. Columns may come in any order.
 */
export async function* readRows(
  text: AsyncIterable<string>,
  columns: Columns,
): AsyncGenerator<RowsRead> {
  let header: string[] | null = null;
  let placeOf = new Map<string, number>();
  for await (const lines of physicalRows(text)) {
    const errors: RowError[] = [];
    const rows: CsvRow[] = [];
    for (const { line, cells, fault } of lines) {
      if (fault !== null) errors.push({ line, column: null, message: fault });
      if (header === null) {
        header = cells;
        placeOf = new Map(cells.map((name, i) => [name, i]));
        errors.push(...headerErrors(header, columns, line));
        if (errors.length > 0) {
          yield { rows, errors };
          return;
        }
      } else if (fault !== null) continue;
      else if (cells.length !== header.length)
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
    yield { rows, errors };
  }
  if (header === null)
    yield {
      rows: [],
      errors: [{ line: 1, column: null, message: 'the file is empty; a header line is needed' }],
    };
}

interface PhysicalRow {
  readonly line: number;
  readonly cells: string[];
  readonly fault: string | null;
}
interface Parsed {
  readonly data: readonly (readonly string[])[];
  readonly errors: readonly Papa.ParseError[];
  readonly meta: Papa.ParseMeta;
}

async function* physicalRows(text: AsyncIterable<string>): AsyncGenerator<PhysicalRow[]> {
  let parser: Papa.Parser | null = null;
  let left = '';
  let line = 1;
  const rowsOf = (whole: boolean): PhysicalRow[] => {
    parser ??= parserFor(left);
    const { data, errors, meta } = parser.parse(left, 0, !whole) as Parsed;
    left = left.slice(meta.cursor);
    const faults = new Map(
      errors.filter((e) => e.type === 'Quotes').map((e) => [e.row ?? 0, e.message]),
    );
    const found: PhysicalRow[] = [];
    for (const [i, raw] of data.entries()) {
      const cells = raw.map((cell) => cell.trim());
      const fault = faults.get(i) ?? null;
      if (cells.some((cell) => cell !== '') || fault !== null) found.push({ line, cells, fault });
      line += 1;
      for (const cell of raw) line += cell.match(LINE_ENDS)?.length ?? 0;
    }
    return found;
  };
  let begun = false;
  for await (const piece of text) {
    left += begun ? piece : piece.replace(/^\uFEFF/, '');
    begun = true;
    yield rowsOf(false);
  }
  if (left !== '') yield rowsOf(true);
}
const LINE_ENDS = /\r\n|\r|\n/g;

/** Looks at a file's beginning for how its cells and lines are divided. */
function parserFor(beginning: string): Papa.Parser {
  const { delimiter, linebreak } = Papa.parse(beginning, {
    preview: 10,
    delimitersToGuess: [',', ';', '\t'],
  }).meta;
  return new Papa.Parser({ delimiter, newline: linebreak as '\n' });
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
