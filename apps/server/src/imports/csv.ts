import Papa from 'papaparse';

export type CsvValue = string | number | boolean | null;

/**
 * Lines of CSV (RFC 4180) for spreadsheets. Text that a spreadsheet would take for a formula gets an apostrophe in front (OWASP,
 * CSV injection); numbers are written as they are.
 */
export const csvLines = (rows: readonly (readonly CsvValue[])[]): string =>
  rows.length === 0
    ? ''
    : `${Papa.unparse(
        rows.map((row) => row.map(safe)),
        { newline: '\r\n' },
      )}\r\n`;

/** A whole file: a header and its rows. */
export const toCsv = (columns: readonly string[], rows: readonly (readonly CsvValue[])[]): string =>
  csvLines([[...columns], ...rows]);

const safe = (value: CsvValue): CsvValue =>
  typeof value === 'string' && FORMULA.test(value) ? `'${value}` : value;
const FORMULA = /^[=+\-@\t\r]/;

/** Text of a cell as it was before it was made safe. */
export const fromSafe = (cell: string): string =>
  cell.startsWith("'") && FORMULA.test(cell.slice(1)) ? cell.slice(1) : cell;
