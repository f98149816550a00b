import { OutOfRangeError, requireWithin } from '@rundlet/alcoholometry';
import { capacityLitres } from './capacity.ts';
import { staveCurve } from './figure.ts';
import type { CaskGeometry, Orientation } from './geometry.ts';
import { integrate } from './quadrature.ts';

/** What a dip rod shows: wet from the lowest point up, or dry from the highest point down. */
export type Dip =
  | { readonly wetDipMm: number; readonly dryDipMm?: never }
  | { readonly dryDipMm: number; readonly wetDipMm?: never };

export type DippedCask = {
  readonly geometry: CaskGeometry;
  readonly orientation: Orientation;
} & Dip;

/** Litres below the surface and the area of the surface, mm²: the slope of the litres in the dip. */
type Fill = { readonly litres: number; readonly surfaceMm2: number };

/** The depth a dip is measured over: bung diameter lying, length standing, mm. */
export function depthMm(geometry: CaskGeometry, orientation: Orientation): number {
  return orientation === 'lying' ? geometry.bilgeDiameterMm : geometry.lengthMm;
}

/** v - sin v, keeping its digits for small v. */
function lessSine(v: number): number {
  if (v > 0.5) return v - Math.sin(v);
  const v2 = v * v;
  let sum = 0;
  let term = (v * v2) / 6;
  for (let k = 4; k <= 16; k += 2) {
    sum += term;
    term *= -v2 / (k * (k + 1));
  }
  return sum;
}

/** Fill of a lying cask up to a wet dip of at most half the bung diameter. */
function lyingLowerHalf(geometry: CaskGeometry, wetMm: number): Fill {
  if (wetMm === 0) return { litres: 0, surfaceMm2: 0 };
  const { figure, bilgeDiameterMm, headDiameterMm, lengthMm } = geometry;
  const radius = bilgeDiameterMm / 2;
  const halfLength = lengthMm / 2;
  const q = headDiameterMm / bilgeDiameterMm;
  const curve = staveCurve(figure, q);
  const wet = wetMm / radius;
  // Each slice is a circle of radius r whose centre lies y above the surface, y the same for all.
  const y = 1 - wet;
  const end = wet >= 1 - q ? 1 : Math.min(1, curve.xiOfDrop(wet));
  let chordSum = 0;
  const segment = (xi: number): { angle: number; r: number; halfChord: number } => {
    const drop = curve.drop(xi);
    const depth = Math.max(0, wet - drop);
    const r = 1 - drop;
    const halfChord = Math.sqrt(depth * (r + y));
    return { angle: Math.atan2(halfChord, y), r, halfChord };
  };
  const areaSum = integrate((xi) => {
    const { angle, r } = segment(xi);
    return (r * r * lessSine(2 * angle)) / 2;
  }, end);
  chordSum = integrate((xi) => 2 * segment(xi).halfChord, end);
  return {
    litres: (2 * areaSum * radius * radius * halfLength) / 1e6,
    surfaceMm2: 2 * chordSum * radius * halfLength,
  };
}

function lying(geometry: CaskGeometry, wetMm: number): Fill {
  const { bilgeDiameterMm } = geometry;
  if (wetMm <= bilgeDiameterMm / 2) return lyingLowerHalf(geometry, wetMm);
  // Upside down, the empty part is the wet part.
  const empty = lyingLowerHalf(geometry, bilgeDiameterMm - wetMm);
  return { litres: capacityLitres(geometry) - empty.litres, surfaceMm2: empty.surfaceMm2 };
}

function standing(geometry: CaskGeometry, wetMm: number): Fill {
  const { figure, bilgeDiameterMm, headDiameterMm, lengthMm } = geometry;
  const radius = bilgeDiameterMm / 2;
  const curve = staveCurve(figure, headDiameterMm / bilgeDiameterMm);
  const half = (Math.PI * radius * radius * lengthMm) / 2;
  const xi = (2 * wetMm) / lengthMm - 1;
  const fromBilge = Math.sign(xi) * curve.volumeTo(Math.abs(xi));
  const r = radius * (1 - curve.drop(Math.abs(xi)));
  return {
    litres: (half * (curve.volumeTo(1) + fromBilge)) / 1e6,
    surfaceMm2: Math.PI * r * r,
  };
}

/** Fill at a wet dip that has been checked. */
function fillAt(geometry: CaskGeometry, orientation: Orientation, wetMm: number): Fill {
  return orientation === 'lying' ? lying(geometry, wetMm) : standing(geometry, wetMm);
}

/** The wet dip, mm, that a dip in either form states, checked against the cask. */
export function wetDipOf(cask: DippedCask): number {
  const depth = depthMm(cask.geometry, cask.orientation);
  if (cask.wetDipMm !== undefined) {
    requireWithin('wet dip', cask.wetDipMm, { min: 0, max: depth, unit: 'mm' });
    return cask.wetDipMm;
  }
  requireWithin('dry dip', cask.dryDipMm, { min: 0, max: depth, unit: 'mm' });
  return depth - cask.dryDipMm;
}

/**
 * Litres in a cask from a dip, at the liquid's own temperature.
 *
 * Lying, the dip is taken through the bung, square to the axis, over the bung diameter; standing, through
 * the head, over the length. The figure is integrated slice by slice, so every fill from empty to brim is as
 * good as the dimensions; empty gives exactly 0 and brim-full exactly the capacity.
 *
 * @throws OutOfRangeError on a dip beyond the cask's depth or impossible dimensions
 */
export function contentsFromDip(cask: DippedCask): number {
  const capacity = capacityLitres(cask.geometry);
  const wet = wetDipOf(cask);
  if (wet === depthMm(cask.geometry, cask.orientation)) return capacity;
  return fillAt(cask.geometry, cask.orientation, wet).litres;
}

/** Area of the liquid's surface at a dip, m²: litres per mm of dip. */
export function surfaceAreaM2(cask: DippedCask): number {
  capacityLitres(cask.geometry);
  return fillAt(cask.geometry, cask.orientation, wetDipOf(cask)).surfaceMm2 / 1e6;
}

/**
 * Dips, mm, that a cask should show when it holds `litres`; inverse of {@link contentsFromDip}.
 *
 * @throws OutOfRangeError if the litres are negative or more than the cask holds
 */
export function dipForContents(
  geometry: CaskGeometry,
  orientation: Orientation,
  litres: number,
): { wetDipMm: number; dryDipMm: number } {
  const capacity = capacityLitres(geometry);
  const depth = depthMm(geometry, orientation);
  if (!(litres >= 0 && litres <= capacity)) {
    throw new OutOfRangeError('contents', litres, { min: 0, max: capacity, unit: 'L' });
  }
  if (litres === 0) return { wetDipMm: 0, dryDipMm: depth };
  if (litres === capacity) return { wetDipMm: depth, dryDipMm: 0 };
  let low = 0;
  let high = depth;
  let wet = (depth * litres) / capacity;
  for (let step = 0; step < 100; step++) {
    const fill = fillAt(geometry, orientation, wet);
    const excess = fill.litres - litres;
    if (excess > 0) high = wet;
    else low = wet;
    let next = wet - (excess * 1e6) / fill.surfaceMm2;
    if (!(next > low && next < high)) {
      if (next === wet) break;
      next = (low + high) / 2;
    }
    const move = Math.abs(next - wet);
    wet = next;
    if (move < 1e-13 * depth) break;
  }
  return { wetDipMm: wet, dryDipMm: depth - wet };
}
