import { OutOfRangeError, requireWithin } from '@rundlet/alcoholometry';
import { capacityLitres } from './capacity.ts';
import { staveCurve } from './figure.ts';
import { requireGeometry, type CaskGeometry, type Orientation } from './geometry.ts';
import { integrate } from './quadrature.ts';

/**
 * What a dip rod shows, inside the wood: wet from the lowest point up, or dry from the highest point (lying,
 * the inner face of the stave at the bung) down to the surface.
 */
export type Dip =
  | { readonly wetDipMm: number; readonly dryDipMm?: never }
  | { readonly dryDipMm: number; readonly wetDipMm?: never };

export type DippedCask = {
  readonly geometry: CaskGeometry;
  readonly orientation: Orientation;
} & Dip;

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

/** The slices of a lying cask that liquid up to at most half the bung diameter reaches, in bilge radii. */
function lyingSlices(geometry: CaskGeometry, wetMm: number) {
  const { figure, bilgeDiameterMm, headDiameterMm } = geometry;
  const q = headDiameterMm / bilgeDiameterMm;
  const curve = staveCurve(figure, q);
  const wet = (2 * wetMm) / bilgeDiameterMm;
  // Each slice is a circle of radius r whose centre lies y above the surface, y the same for all.
  const y = 1 - wet;
  const end = wet >= 1 - q ? 1 : Math.min(1, curve.xiOfDrop(wet));
  const radius = (xi: number): number => 1 - curve.drop(xi);
  const halfChord = (xi: number): number => {
    const drop = curve.drop(xi);
    return Math.sqrt(Math.max(0, wet - drop) * (1 - drop + y));
  };
  return { y, end, radius, halfChord };
}

/** Litres in a lying cask up to a wet dip of at most half the bung diameter. */
function lyingLowerLitres(geometry: CaskGeometry, wetMm: number): number {
  if (wetMm === 0) return 0;
  const { y, end, radius, halfChord } = lyingSlices(geometry, wetMm);
  const area = integrate((xi) => {
    const r = radius(xi);
    return (r * r * lessSine(2 * Math.atan2(halfChord(xi), y))) / 2;
  }, end);
  const bilgeRadius = geometry.bilgeDiameterMm / 2;
  return (area * bilgeRadius * bilgeRadius * geometry.lengthMm) / 1e6;
}

/** Distance from the bilge of a standing level, in half lengths, -1 at the lower head to 1 at the upper. */
function standingXi(geometry: CaskGeometry, wetMm: number): number {
  return (2 * wetMm) / geometry.lengthMm - 1;
}

/** Litres below a wet dip that has been checked. */
function litresBelow(geometry: CaskGeometry, orientation: Orientation, wetMm: number): number {
  const capacity = capacityLitres(geometry);
  const { figure, bilgeDiameterMm, headDiameterMm } = geometry;
  if (orientation === 'standing') {
    const curve = staveCurve(figure, headDiameterMm / bilgeDiameterMm);
    const xi = standingXi(geometry, wetMm);
    const share = (Math.sign(xi) * curve.volumeTo(Math.abs(xi))) / curve.volumeTo(1);
    return (capacity * (1 + share)) / 2;
  }
  // Upside down, the empty part is the wet part.
  return wetMm <= bilgeDiameterMm / 2
    ? lyingLowerLitres(geometry, wetMm)
    : capacity - lyingLowerLitres(geometry, bilgeDiameterMm - wetMm);
}

/** Area of the surface at a wet dip that has been checked, mm²: the slope of the litres in the dip. */
function surfaceMm2(geometry: CaskGeometry, orientation: Orientation, wetMm: number): number {
  const { figure, bilgeDiameterMm, headDiameterMm, lengthMm } = geometry;
  const bilgeRadius = bilgeDiameterMm / 2;
  if (orientation === 'standing') {
    const curve = staveCurve(figure, headDiameterMm / bilgeDiameterMm);
    const r = bilgeRadius * (1 - curve.drop(Math.abs(standingXi(geometry, wetMm))));
    return Math.PI * r * r;
  }
  const lower = Math.min(wetMm, bilgeDiameterMm - wetMm);
  if (lower === 0) return 0;
  const { end, halfChord } = lyingSlices(geometry, lower);
  return 2 * integrate(halfChord, end) * bilgeRadius * lengthMm;
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
  requireGeometry(cask.geometry);
  return litresBelow(cask.geometry, cask.orientation, wetDipOf(cask));
}

/** Area of the liquid's surface at a dip, m²; it is also the litres a millimetre of dip is worth. */
export function surfaceAreaM2(cask: DippedCask): number {
  requireGeometry(cask.geometry);
  return surfaceMm2(cask.geometry, cask.orientation, wetDipOf(cask)) / 1e6;
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
    const excess = litresBelow(geometry, orientation, wet) - litres;
    if (excess > 0) high = wet;
    else low = wet;
    let next = wet - (excess * 1e6) / surfaceMm2(geometry, orientation, wet);
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
