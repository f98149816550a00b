import Papa from 'papaparse';

export type CsvValue = string | number | boolean | null;

/**
 * CSV (RFC 4180) for spreadsheets. Text that a spreadsheet would take for a formula gets an apostrophe in front (OWASP, CSV
 * injection); numbers are written as they are.
 */
export function toCsv(columns: readonly string[], rows: readonly (readonly CsvValue[])[]): string {
  return `${Papa.unparse({ fields: [...columns], data: rows.map((row) => row.map(safe)) }, { newline: '\r\n' })}\r\n`;
}

const safe = (value: CsvValue): CsvValue =>
  typeof value === 'string' && /^[=+\-@\t\r]/.test(value) ? `'${value}` : value;

/** Text of a cell as it was before {@link toCsv} made it safe. */
export const fromSafe = (cell: string): string =>
  /^'[=+\-@\t\r]/.test(cell) ? cell.slice(1) : cell;
