/**
 * Inverse of a simplex basis, dense (m × m, by rows). Logical columns are −e_i; where they are
 * basic the inverse is sparse, so work goes over the nonzeros of one row at a time.
 */
export class BasisInverse {
  readonly values: Float64Array;
  /** Nonzeros of the row last gathered. */
  readonly nonzeros: Int32Array;
  nonzeroCount = 0;
  readonly #m: number;
  readonly #dot: Float64Array;

  constructor(m: number) {
    this.#m = m;
    this.values = new Float64Array(m * m);
    this.nonzeros = new Int32Array(m);
    this.#dot = new Float64Array(m);
  }

  /** The inverse of −I, the basis of all logicals in order. */
  setLogical(): void {
    this.values.fill(0);
    for (let i = 0; i < this.#m; i++) this.values[i * this.#m + i] = -1;
  }

  gatherRow(row: number): void {
    const m = this.#m;
    const at = row * m;
    let count = 0;
    for (let k = 0; k < m; k++) if (this.values[at + k] !== 0) this.nonzeros[count++] = k;
    this.nonzeroCount = count;
  }

  /** Σ_k inverse[row][k]² over the gathered row. */
  squaredNorm(row: number): number {
    const at = row * this.#m;
    let sum = 0;
    for (let k = 0; k < this.nonzeroCount; k++) sum += this.values[at + this.nonzeros[k]!]! ** 2;
    return sum;
  }

  /** Inner products of the gathered row with the rows where `column` is not 0. */
  dotsWithRow(row: number, column: Float64Array): Float64Array {
    const m = this.#m;
    const { values, nonzeros, nonzeroCount } = this;
    const at = row * m;
    for (let i = 0; i < m; i++) {
      if (column[i] === 0) continue;
      const from = i * m;
      let sum = 0;
      for (let k = 0; k < nonzeroCount; k++) {
        const c = nonzeros[k]!;
        sum += values[from + c]! * values[at + c]!;
      }
      this.#dot[i] = sum;
    }
    return this.#dot;
  }

  /** Replaces basic column `row` by one whose form in the basis is `column`; row is gathered. */
  update(row: number, column: Float64Array, pivot: number): void {
    const m = this.#m;
    const { values, nonzeros, nonzeroCount } = this;
    const at = row * m;
    for (let k = 0; k < nonzeroCount; k++) values[at + nonzeros[k]!]! /= pivot;
    for (let i = 0; i < m; i++) {
      const factor = column[i]!;
      if (i === row || factor === 0) continue;
      const to = i * m;
      for (let k = 0; k < nonzeroCount; k++) {
        const c = nonzeros[k]!;
        values[to + c]! -= factor * values[at + c]!;
      }
    }
  }

  /**
   * Inverts anew. With rows R whose logical is not basic and structural basics S, B⁻¹ is S_R⁻¹ on
   * the rows of S, and S_L·S_R⁻¹ less the identity on those of the basic logicals.
   *
   * @param basis basic column at each place; from `columnCount` on they are logicals
   * @returns false when the basis is singular
   */
  rebuild(
    basis: Int32Array,
    columnCount: number,
    starts: Int32Array,
    indices: Int32Array,
    coefficients: Float64Array,
  ): boolean {
    const m = this.#m;
    const placeOfLogical = new Int32Array(m).fill(-1);
    const structural: number[] = [];
    for (let p = 0; p < m; p++) {
      const j = basis[p]!;
      if (j >= columnCount) placeOfLogical[j - columnCount] = p;
      else structural.push(p);
    }
    const order = new Int32Array(m).fill(-1);
    const rows: number[] = [];
    for (let i = 0; i < m; i++)
      if (placeOfLogical[i]! < 0) {
        order[i] = rows.length;
        rows.push(i);
      }
    const k = rows.length;
    const small = new Float64Array(k * k);
    structural.forEach((p, c) => {
      const j = basis[p]!;
      for (let e = starts[j]!; e < starts[j + 1]!; e++) {
        const r = order[indices[e]!]!;
        if (r >= 0) small[r * k + c] = coefficients[e]!;
      }
    });
    const inverse = new Float64Array(k * k);
    if (!invert(small, inverse, k)) return false;
    this.values.fill(0);
    structural.forEach((p, c) => {
      for (let r = 0; r < k; r++) this.values[p * m + rows[r]!] = inverse[c * k + r]!;
      const j = basis[p]!;
      for (let e = starts[j]!; e < starts[j + 1]!; e++) {
        const place = placeOfLogical[indices[e]!]!;
        if (place < 0) continue;
        const factor = coefficients[e]!;
        for (let r = 0; r < k; r++)
          this.values[place * m + rows[r]!]! += factor * inverse[c * k + r]!;
      }
    });
    for (let i = 0; i < m; i++) {
      const place = placeOfLogical[i]!;
      if (place >= 0) this.values[place * m + i] = -1;
    }
    return true;
  }
}

/** Gauss–Jordan with partial pivoting: the inverse of `a` (destroyed) into `b`; false if singular. */
function invert(a: Float64Array, b: Float64Array, m: number): boolean {
  b.fill(0);
  for (let i = 0; i < m; i++) b[i * m + i] = 1;
  for (let c = 0; c < m; c++) {
    let best = c;
    for (let i = c + 1; i < m; i++)
      if (Math.abs(a[i * m + c]!) > Math.abs(a[best * m + c]!)) best = i;
    const pivot = a[best * m + c]!;
    if (Math.abs(pivot) < 1e-11) return false;
    if (best !== c) swapRows(a, b, m, best, c);
    for (let k = 0; k < m; k++) {
      a[c * m + k]! /= pivot;
      b[c * m + k]! /= pivot;
    }
    for (let i = 0; i < m; i++) {
      const factor = a[i * m + c]!;
      if (i === c || factor === 0) continue;
      for (let k = 0; k < m; k++) {
        a[i * m + k]! -= factor * a[c * m + k]!;
        b[i * m + k]! -= factor * b[c * m + k]!;
      }
    }
  }
  return true;
}

function swapRows(a: Float64Array, b: Float64Array, m: number, p: number, q: number): void {
  for (const matrix of [a, b])
    for (let k = 0; k < m; k++) {
      const t = matrix[p * m + k]!;
      matrix[p * m + k] = matrix[q * m + k]!;
      matrix[q * m + k] = t;
    }
}
