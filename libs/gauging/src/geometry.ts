import { OutOfRangeError, requireWithin } from '@rundlet/alcoholometry';

/** The classical figures of a cask, fullest first: how the staves run from bilge to head. */
export const CLASSICAL_FIGURES = ['spheroid', 'parabolic-spindle', 'paraboloid', 'cone'] as const;
export type ClassicalFigure = (typeof CLASSICAL_FIGURES)[number];

/**
 * A figure fitted to a measured fill: r² = R² (1 - (1 - q²) |ξ|^fullness), ξ running from 0 at the bilge to
 * 1 at a head. Fullness 2 is the spheroid, 1 the paraboloid, 0 would be a cylinder of the head's width,
 * infinity one of the bilge's.
 */
export type FittedFigure = { readonly fullness: number };

export type CaskFigure = ClassicalFigure | FittedFigure;

/** Inside dimensions of a cask, or of an upright or lying cylinder when both diameters are equal. */
export type CaskGeometry = {
  readonly figure: CaskFigure;
  /** Inside diameter at the bung, mm. */
  readonly bilgeDiameterMm: number;
  /** Inside diameter of a head, mm; above 0 and not above the bilge's. */
  readonly headDiameterMm: number;
  /** Inside length between the heads, mm. */
  readonly lengthMm: number;
};

export type Orientation = 'lying' | 'standing';

/** Beyond it a figure is a cylinder in all but name. */
export const FULLNESS_RANGE = { min: 0.02, max: 50, unit: '(no unit)' };
const LENGTH_RANGE = { min: 1, max: 100_000, unit: 'mm' };

/** @throws OutOfRangeError naming the dimension that cannot be */
export function requireGeometry(geometry: CaskGeometry): void {
  requireWithin('bilge diameter', geometry.bilgeDiameterMm, LENGTH_RANGE);
  requireWithin('length', geometry.lengthMm, LENGTH_RANGE);
  requireWithin(
    'head diameter',
    geometry.headDiameterMm,
    { min: 1, max: geometry.bilgeDiameterMm, unit: 'mm' },
    'a head is not wider than the bilge',
  );
  if (typeof geometry.figure === 'object') {
    requireWithin('fullness', geometry.figure.fullness, {
      min: 0.01,
      max: 1000,
      unit: '(no unit)',
    });
  } else if (!CLASSICAL_FIGURES.includes(geometry.figure)) {
    throw new OutOfRangeError(`figure "${String(geometry.figure)}"`, NaN, {
      min: 0,
      max: 0,
      unit: `(one of ${CLASSICAL_FIGURES.join(', ')}, or a fullness)`,
    });
  }
}
