import type { CaskFigure } from './geometry.ts';

/**
 * The curve of a stave, in units of the bilge radius R and of half the length: at ξ (0 at the bilge, 1 at
 * a head) the radius is R (1 - drop(ξ)). With q = head / bilge diameter, drop(1) = 1 - q.
 */
export type StaveCurve = {
  readonly drop: (xi: number) => number;
  /** Slope of {@link drop}. */
  readonly dropSlope: (xi: number) => number;
  /** The ξ at which the radius has dropped by `drop`, for 0 <= drop <= 1 - q. */
  readonly xiOfDrop: (drop: number) => number;
  /** Integral of (r/R)² from 0 to ξ: the volume from the bilge on, in units of pi R² (length / 2). */
  readonly volumeTo: (xi: number) => number;
};

/** Curves in r²: r² = R² (1 - k ξ^m), k = 1 - q². The spheroid is m = 2, the paraboloid m = 1. */
function curveInSquares(q: number, m: number): StaveCurve {
  const k = (1 - q) * (1 + q);
  return {
    // 1 - sqrt(1 - s) without the loss of digits near the bilge.
    drop: (xi) => {
      const s = k * xi ** m;
      return s / (1 + Math.sqrt(1 - s));
    },
    dropSlope: (xi) => (k * m * xi ** (m - 1)) / (2 * Math.sqrt(1 - k * xi ** m)),
    xiOfDrop: (drop) => ((drop * (2 - drop)) / k) ** (1 / m),
    volumeTo: (xi) => xi - (k * xi ** (m + 1)) / (m + 1),
  };
}

/** Curves in r: r = R (1 - e ξ^n), e = 1 - q. The parabolic spindle is n = 2, the cone n = 1. */
function curveInRadius(q: number, n: number): StaveCurve {
  const e = 1 - q;
  return {
    drop: (xi) => e * xi ** n,
    dropSlope: (xi) => e * n * xi ** (n - 1),
    xiOfDrop: (drop) => (drop / e) ** (1 / n),
    volumeTo: (xi) =>
      xi - (2 * e * xi ** (n + 1)) / (n + 1) + (e * e * xi ** (2 * n + 1)) / (2 * n + 1),
  };
}

/** The stave curve of a figure with head / bilge diameter ratio `q`. */
export function staveCurve(figure: CaskFigure, q: number): StaveCurve {
  switch (figure) {
    case 'spheroid':
      return curveInSquares(q, 2);
    case 'paraboloid':
      return curveInSquares(q, 1);
    case 'parabolic-spindle':
      return curveInRadius(q, 2);
    case 'cone':
      return curveInRadius(q, 1);
    default:
      return curveInSquares(q, figure.fullness);
  }
}
