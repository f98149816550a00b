import type { GlobalColumn, Rows, SparseColumns } from './blend-model.ts';

/** Collects rows one at a time and hands them over by column. */
export class RowBuilder {
  readonly #lower: number[] = [];
  readonly #upper: number[] = [];
  readonly #wishId: (string | null)[] = [];
  readonly #fraction = new Triplets();
  readonly #opened = new Triplets();
  readonly #globals: { column: Omit<GlobalColumn, 'entries'>; entries: [number, number][] }[] = [];

  addRow(wishId: string | null, lower: number, upper: number): number {
    this.#lower.push(lower);
    this.#upper.push(upper);
    this.#wishId.push(wishId);
    return this.#lower.length - 1;
  }

  /** Narrows nothing, widens nothing: sets the limits of a row that exists. */
  setLimits(row: number, lower: number, upper: number): void {
    this.#lower[row] = lower;
    this.#upper[row] = upper;
  }

  perFraction(row: number, block: number, value: number): void {
    if (value !== 0) this.#fraction.add(row, block, value);
  }

  perOpened(row: number, block: number, value: number): void {
    if (value !== 0) this.#opened.add(row, block, value);
  }

  addGlobal(name: string, lower: number, upper: number, integer = false): number {
    this.#globals.push({ column: { name, lower, upper, integer }, entries: [] });
    return this.#globals.length - 1;
  }

  perGlobal(row: number, global: number, value: number): void {
    if (value !== 0) this.#globals[global]!.entries.push([row, value]);
  }

  /**
   * Lets every row of a wish be broken: one column for the side it is broken on, one more for rows
   * with two sides. Returns the columns; each unit of either costs the same to whoever minimises.
   */
  addSlack(wishId: string): number[] {
    const under = this.addGlobal('under', 0, Infinity);
    const over = this.addGlobal('over', 0, Infinity);
    this.#wishId.forEach((id, row) => {
      if (id !== wishId) return;
      if (this.#lower[row]! > -Infinity) this.perGlobal(row, under, 1);
      if (this.#upper[row]! < Infinity) this.perGlobal(row, over, -1);
    });
    return [under, over];
  }

  get globalCount(): number {
    return this.#globals.length;
  }

  rows(): Rows {
    return {
      lower: Float64Array.from(this.#lower),
      upper: Float64Array.from(this.#upper),
      wishId: this.#wishId,
    };
  }

  globals(): GlobalColumn[] {
    return this.#globals.map(({ column, entries }) => ({ ...column, entries }));
  }

  fractionColumns(blockCount: number): SparseColumns {
    return this.#fraction.byColumn(blockCount);
  }

  openedColumns(blockCount: number): SparseColumns {
    return this.#opened.byColumn(blockCount);
  }
}

/** (row, column, value) in growing typed arrays: a million entries are usual at 100,000 casks. */
class Triplets {
  #rows = new Int32Array(1024);
  #columns = new Int32Array(1024);
  #values = new Float64Array(1024);
  #count = 0;

  add(row: number, column: number, value: number): void {
    if (this.#count === this.#rows.length) this.#grow();
    this.#rows[this.#count] = row;
    this.#columns[this.#count] = column;
    this.#values[this.#count] = value;
    this.#count++;
  }

  #grow(): void {
    const size = this.#rows.length * 2;
    const rows = new Int32Array(size);
    const columns = new Int32Array(size);
    const values = new Float64Array(size);
    rows.set(this.#rows);
    columns.set(this.#columns);
    values.set(this.#values);
    this.#rows = rows;
    this.#columns = columns;
    this.#values = values;
  }

  /** Counting sort by column; entries of one column stay in row order. */
  byColumn(columnCount: number): SparseColumns {
    const starts = new Int32Array(columnCount + 1);
    for (let k = 0; k < this.#count; k++) starts[this.#columns[k]! + 1]!++;
    for (let c = 0; c < columnCount; c++) starts[c + 1]! += starts[c]!;
    const next = starts.slice(0, columnCount);
    const rows = new Int32Array(this.#count);
    const values = new Float64Array(this.#count);
    for (let k = 0; k < this.#count; k++) {
      const at = next[this.#columns[k]!]!++;
      rows[at] = this.#rows[k]!;
      values[at] = this.#values[k]!;
    }
    return { starts, rows, values };
  }
}
