import { requireWithin } from '@rundlet/alcoholometry';
import { capacityLitres } from './capacity.ts';
import type { CaskGeometry } from './geometry.ts';

/** Proportions of an ordinary coopered cask. Common practice, no published source: measure when it matters. */
const ASSUMED_HEAD_OVER_BILGE = 0.85;
const ASSUMED_LENGTH_OVER_BILGE = 1.35;

/** A geometry nobody measured; `basis` says so wherever it goes. */
export type AssumedGeometry = CaskGeometry & { readonly basis: 'assumed' };

/**
 * Dimensions of a cask of ordinary proportions that holds exactly `nominalLitres`. The proportions are
 * assumed, so nothing gauged with them is a measurement of this cask: good for an area or a first dip table.
 *
 * @param nominalLitres 1 to 100 000 L; ask for litres, never derive them from the name of a kind of cask
 */
export function typicalGeometry(nominalLitres: number): AssumedGeometry {
  requireWithin('nominal capacity', nominalLitres, { min: 1, max: 100_000, unit: 'L' });
  const shape = (bilgeDiameterMm: number): AssumedGeometry => ({
    figure: 'parabolic-spindle',
    bilgeDiameterMm,
    headDiameterMm: bilgeDiameterMm * ASSUMED_HEAD_OVER_BILGE,
    lengthMm: bilgeDiameterMm * ASSUMED_LENGTH_OVER_BILGE,
    basis: 'assumed',
  });
  return shape(1000 * Math.cbrt(nominalLitres / capacityLitres(shape(1000))));
}
