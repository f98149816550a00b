/**
 * Rules of the older gaugers, kept to check the exact integration against and to read old books with. None
 * of them gauges anything here.
 */
import { requireNotNegative, requireWithin } from '@rundlet/alcoholometry';
import { requireGeometry, type CaskGeometry } from './geometry.ts';

/** Cubic inches in the gallons that old tables are in. */
export const CUBIC_INCHES_PER_GALLON = {
  wine: 231,
  ale: 282,
  /** Before 1963. */
  imperialOld: 277.274,
  imperial: 277.41943,
} as const;

/** Litres in a cubic inch. */
export const LITRES_PER_CUBIC_INCH = 0.016387064;

/** How strongly the staves curve, for the mean-diameter rule. */
export type StaveBow = 'strong' | 'medium' | 'little' | 'nearly-straight';

const MEAN_DIAMETER_SHARE: Readonly<Record<StaveBow, number>> = {
  strong: 0.7,
  medium: 0.65,
  little: 0.6,
  'nearly-straight': 0.55,
};

/** Mean diameter, mm: the head's plus 0.55 to 0.7 of what the bilge has more, by the bow of the staves. */
export function meanDiameterMm(geometry: CaskGeometry, bow: StaveBow): number {
  requireGeometry(geometry);
  const { bilgeDiameterMm, headDiameterMm } = geometry;
  return headDiameterMm + MEAN_DIAMETER_SHARE[bow] * (bilgeDiameterMm - headDiameterMm);
}

/** Capacity, L, of the cylinder of the mean diameter. */
export function capacityByMeanDiameter(geometry: CaskGeometry, bow: StaveBow): number {
  return (Math.PI / 4) * meanDiameterMm(geometry, bow) ** 2 * geometry.lengthMm * 1e-6;
}

/** Capacity, L, by the general rule for a cask of no known figure: (39 D² + 25 d² + 26 D d) L pi / 360. */
export function capacityByGeneralRule(geometry: CaskGeometry): number {
  requireGeometry(geometry);
  const { bilgeDiameterMm: D, headDiameterMm: d, lengthMm } = geometry;
  return (Math.PI / 360) * (39 * D * D + 25 * d * d + 26 * D * d) * lengthMm * 1e-6;
}

/**
 * Capacity, L, by the diagonal rod: 0.6 times the cube of the way from the bung to the far edge of a head.
 * The constant is from memory.
 */
export function capacityByDiagonal(geometry: CaskGeometry): number {
  requireGeometry(geometry);
  const { bilgeDiameterMm, headDiameterMm, lengthMm } = geometry;
  const diagonal = Math.hypot(lengthMm / 2, (bilgeDiameterMm + headDiameterMm) / 2);
  return 0.6 * diagonal ** 3 * 1e-6;
}

/**
 * Share of a lying cask that is full, by the quarter rule: the wet share of the bung diameter, put a quarter
 * of its distance from one half further out. Good only near half full; below a tenth it turns negative.
 */
export function lyingShareByQuarterRule(wetOverBung: number): number {
  requireWithin('wet share of the bung diameter', wetOverBung, { min: 0, max: 1, unit: 'mm/mm' });
  return wetOverBung + (wetOverBung - 0.5) / 4;
}

/** Share of a standing cask that is full, by the tenth rule: a tenth of the distance from one half further out. */
export function standingShareByTenthRule(wetOverLength: number): number {
  requireWithin('wet share of the length', wetOverLength, { min: 0, max: 1, unit: 'mm/mm' });
  return wetOverLength + (wetOverLength - 0.5) / 10;
}

/** Litres in a number of old gallons. */
export function litresFromGallons(
  gallons: number,
  kind: keyof typeof CUBIC_INCHES_PER_GALLON,
): number {
  requireNotNegative('volume', gallons, 'gal');
  return gallons * CUBIC_INCHES_PER_GALLON[kind] * LITRES_PER_CUBIC_INCH;
}
