import type { CsvRow, RowError } from './csv-rows.ts';

/** A row's cells, read as what they should be. What is wrong is noted, and something harmless given in its place. */
export class Cells {
  readonly errors: RowError[] = [];
  readonly #row: CsvRow;
  constructor(row: CsvRow) {
    this.#row = row;
  }

  get line(): number {
    return this.#row.line;
  }

  fault(column: string | null, message: string): void {
    this.errors.push({ line: this.line, column, message });
  }

  has(column: string): boolean {
    return this.#cell(column) !== '';
  }

  text(column: string): string {
    const cell = this.#cell(column);
    if (cell === '') this.fault(column, 'must not be empty');
    return cell;
  }

  optionalText(column: string): string | null {
    return this.#cell(column) || null;
  }

  number(column: string): number {
    return this.has(column) ? (this.optionalNumber(column) ?? 0) : Number(this.text(column));
  }

  optionalNumber(column: string): number | null {
    const cell = this.#cell(column);
    if (cell === '') return null;
    if (/^[+-]?(\d+(\.\d*)?|\.\d+)(e[+-]?\d+)?$/i.test(cell)) return Number(cell);
    const comma = /^[+-]?\d+,\d+$/.test(cell) ? '; write the decimal point as a dot' : '';
    this.fault(column, `“${cell}” is not a number${comma}`);
    return 0;
  }

  /** A calendar date, like 2026-03-01. */
  date(column: string): string {
    const cell = this.text(column);
    if (cell !== '' && !isDate(cell)) this.fault(column, `“${cell}” is not a date like 2026-03-01`);
    return cell;
  }

  /** An instant in UTC; a bare date means noon of that day. */
  instant(column: string): string {
    const cell = this.text(column);
    if (isDate(cell)) return `${cell}T12:00:00.000Z`;
    if (
      /^\d{4}-\d\d-\d\dT\d\d:\d\d(:\d\d(\.\d{1,3})?)?Z$/.test(cell) &&
      isDate(cell.slice(0, 10))
    ) {
      const at = new Date(cell);
      if (!Number.isNaN(at.getTime())) return at.toISOString();
    }
    if (cell !== '')
      this.fault(
        column,
        `“${cell}” is neither a date like 2026-03-01 nor an instant in UTC like 2026-03-01T09:30:00Z`,
      );
    return '1970-01-01T00:00:00.000Z';
  }

  optionalInstant(column: string): string | null {
    return this.has(column) ? this.instant(column) : null;
  }

  oneOf<T extends string>(column: string, options: readonly T[], otherwise?: T): T {
    const cell = this.#cell(column);
    if (cell === '' && otherwise !== undefined) return otherwise;
    const found = options.find((option) => option === cell);
    if (found === undefined) this.fault(column, `must be one of ${options.join(', ')}`);
    return found ?? (options[0] as T);
  }

  /** Parts divided by semicolons. */
  list(column: string): string[] {
    return this.#cell(column)
      .split(';')
      .map((part) => part.trim())
      .filter((part) => part !== '');
  }

  /** Parts like `HL-1:1200; HL-2:800`: a code and how much of it. */
  amounts(column: string, otherwise?: number): { code: string; amount: number }[] {
    if (!this.has(column)) this.text(column);
    return this.list(column).map((part) => {
      const [, code = part, amount] = /^(.*\S)\s*:\s*([\d.]+)$/.exec(part) ?? [];
      if (amount === undefined && otherwise === undefined)
        this.fault(column, `“${part}” must be a code, a colon and an amount, like HL-1:1200`);
      return { code, amount: amount === undefined ? (otherwise ?? 0) : Number(amount) };
    });
  }

  #cell(column: string): string {
    return this.#row.cell(column);
  }
}

function isDate(text: string): boolean {
  if (!/^\d{4}-\d\d-\d\d$/.test(text)) return false;
  const day = new Date(`${text}T00:00:00.000Z`);
  return !Number.isNaN(day.getTime()) && day.toISOString().startsWith(text);
}
