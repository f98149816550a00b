/** Small dense symmetric matrices in row-major Float64Arrays. */

/**
 * Cholesky factor (lower) of the leading n × n of `a` (row stride n), in place. A pivot that is not
 * positive is lifted to `floor`, so that a covariance that lost its last digit still factors.
 */
export function choleskyInPlace(a: Float64Array, n: number, floor = 1e-14): void {
  for (let j = 0; j < n; j++) {
    const rowJ = j * n;
    let pivot = a[rowJ + j]!;
    for (let k = 0; k < j; k++) pivot -= a[rowJ + k]! * a[rowJ + k]!;
    const root = Math.sqrt(pivot > floor ? pivot : floor);
    a[rowJ + j] = root;
    for (let i = j + 1; i < n; i++) {
      const rowI = i * n;
      let sum = a[rowI + j]!;
      for (let k = 0; k < j; k++) sum -= a[rowI + k]! * a[rowJ + k]!;
      a[rowI + j] = sum / root;
    }
  }
}

/** Solves L Lᵀ x = b in place, L from `choleskyInPlace`. */
export function choleskySolve(l: Float64Array, n: number, b: Float64Array, offset = 0): void {
  for (let i = 0; i < n; i++) {
    let sum = b[offset + i]!;
    for (let k = 0; k < i; k++) sum -= l[i * n + k]! * b[offset + k]!;
    b[offset + i] = sum / l[i * n + i]!;
  }
  for (let i = n - 1; i >= 0; i--) {
    let sum = b[offset + i]!;
    for (let k = i + 1; k < n; k++) sum -= l[k * n + i]! * b[offset + k]!;
    b[offset + i] = sum / l[i * n + i]!;
  }
}

/** Inverse of a symmetric positive definite matrix; the argument is left alone. */
export function inverseOfSymmetric(a: Float64Array, n: number, floor?: number): Float64Array {
  const l = a.slice(0, n * n);
  choleskyInPlace(l, n, floor);
  const inverse = new Float64Array(n * n);
  const column = new Float64Array(n);
  for (let j = 0; j < n; j++) {
    column.fill(0);
    column[j] = 1;
    choleskySolve(l, n, column);
    for (let i = 0; i < n; i++) inverse[i * n + j] = column[i]!;
  }
  return inverse;
}

/** Solves the general system a x = b (n small) by Gauss with row exchange; both are overwritten. */
export function solveGeneral(a: Float64Array, n: number, b: Float64Array, columns: number): void {
  for (let j = 0; j < n; j++) {
    let best = j;
    for (let i = j + 1; i < n; i++) {
      if (Math.abs(a[i * n + j]!) > Math.abs(a[best * n + j]!)) best = i;
    }
    if (best !== j) {
      for (let k = 0; k < n; k++) {
        const t = a[j * n + k]!;
        a[j * n + k] = a[best * n + k]!;
        a[best * n + k] = t;
      }
      for (let k = 0; k < columns; k++) {
        const t = b[j * columns + k]!;
        b[j * columns + k] = b[best * columns + k]!;
        b[best * columns + k] = t;
      }
    }
    const pivot = a[j * n + j]!;
    if (pivot === 0) throw new RangeError('singular system');
    for (let i = 0; i < n; i++) {
      if (i === j) continue;
      const ratio = a[i * n + j]! / pivot;
      if (ratio === 0) continue;
      for (let k = j; k < n; k++) a[i * n + k]! -= ratio * a[j * n + k]!;
      for (let k = 0; k < columns; k++) b[i * columns + k]! -= ratio * b[j * columns + k]!;
    }
  }
  for (let i = 0; i < n; i++) {
    const pivot = a[i * n + i]!;
    for (let k = 0; k < columns; k++) b[i * columns + k]! /= pivot;
  }
}

/** n × n symmetric → lower triangle by rows, as plain numbers for JSON. */
export function packSymmetric(a: Float64Array, n: number): number[] {
  const packed: number[] = [];
  for (let i = 0; i < n; i++) for (let j = 0; j <= i; j++) packed.push(a[i * n + j]!);
  return packed;
}

/** Inverse of `packSymmetric`. */
export function unpackSymmetric(packed: readonly number[], n: number): Float64Array {
  const a = new Float64Array(n * n);
  let k = 0;
  for (let i = 0; i < n; i++) {
    for (let j = 0; j <= i; j++) {
      a[i * n + j] = packed[k]!;
      a[j * n + i] = packed[k]!;
      k++;
    }
  }
  return a;
}
