import { staveCurve } from './figure.ts';
import { requireGeometry, type CaskGeometry } from './geometry.ts';
import { integrate } from './quadrature.ts';

const CUBIC_MM_PER_LITRE = 1e6;

/**
 * Capacity of a cask brim-full, L, from its inside dimensions and figure.
 *
 * With D the bilge and d the head diameter and L the length: spheroid pi/12 (2 D² + d²) L; parabolic
 * spindle pi/60 (8 D² + 4 D d + 3 d²) L; two frusta of a paraboloid pi/8 (D² + d²) L; two frusta of a cone
 * pi/12 (D² + D d + d²) L. The liquid's temperature is the cask's: no correction to 20 °C is in here.
 *
 * @throws OutOfRangeError on impossible dimensions
 */
export function capacityLitres(geometry: CaskGeometry): number {
  requireGeometry(geometry);
  const { figure, bilgeDiameterMm, headDiameterMm, lengthMm } = geometry;
  const radius = bilgeDiameterMm / 2;
  const curve = staveCurve(figure, headDiameterMm / bilgeDiameterMm);
  return (Math.PI * radius * radius * lengthMm * curve.volumeTo(1)) / CUBIC_MM_PER_LITRE;
}

/**
 * Area of wood the spirit can touch when the cask is full, m²: both heads and the staves, as smooth
 * surfaces (joints, croze and bung hole are left out).
 *
 * @throws OutOfRangeError on impossible dimensions
 */
export function innerAreaM2(geometry: CaskGeometry): number {
  requireGeometry(geometry);
  const { figure, bilgeDiameterMm, headDiameterMm, lengthMm } = geometry;
  const radius = bilgeDiameterMm / 2;
  const halfLength = lengthMm / 2;
  const curve = staveCurve(figure, headDiameterMm / bilgeDiameterMm);
  const heads = (Math.PI * headDiameterMm * headDiameterMm) / 2;
  // Surface of revolution, both halves: 2 · 2 pi r ds with ds² = dx² + dr².
  const staves =
    4 *
    Math.PI *
    radius *
    halfLength *
    integrate((xi) => {
      const slope = (radius / halfLength) * curve.dropSlope(xi);
      return (1 - curve.drop(xi)) * Math.hypot(1, slope);
    }, 1);
  return (heads + staves) / 1e6;
}

/** What is known of the size of a cask. */
export type SizedCask = {
  readonly nominalLitres: number;
  /** Brim-full litres as measured. */
  readonly capacityLitres: number | null;
  readonly geometry: CaskGeometry & { readonly basis: 'measured' | 'assumed' };
};

/**
 * Litres to take a cask for when it is brim-full: as measured, else by its measured lengths, else a tenth
 * above its trade size, which is loose (common practice, no published source).
 *
 * @throws OutOfRangeError on impossible measured dimensions
 */
export function brimFullLitres(cask: SizedCask): number {
  if (cask.capacityLitres !== null) return cask.capacityLitres;
  return cask.geometry.basis === 'measured'
    ? capacityLitres(cask.geometry)
    : cask.nominalLitres * 1.1;
}
