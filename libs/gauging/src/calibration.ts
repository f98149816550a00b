import { capacityLitres } from './capacity.ts';
import { contentsFromDip, type DippedCask } from './dip.ts';
import { FULLNESS_RANGE, type CaskGeometry } from './geometry.ts';

/** Litres put in or run out by meter or weight, and the dip the cask showed with them. */
export type MeasuredFill = DippedCask & { readonly litres: number };

/** The figure that explains a measured fill, or the litres that any figure could have explained. */
export type Calibration =
  | { readonly status: 'fitted'; readonly geometry: CaskGeometry; readonly capacityLitres: number }
  | {
      readonly status: 'beyond-every-figure';
      readonly leastLitres: number;
      readonly mostLitres: number;
    };

/**
 * Fits the fullness of a cask's figure so that its dimensions and the dip give the measured litres.
 * Brim-full is the best fill to calibrate with: dip = depth.
 *
 * If even a cylinder of the head's or the bilge's width cannot explain the litres, a dimension or the fill
 * is wrong, and the answer says which litres were possible.
 *
 * @throws OutOfRangeError on impossible dimensions or dips
 */
export function calibrateToFill(fill: MeasuredFill): Calibration {
  const geometryOf = (fullness: number): CaskGeometry => ({
    ...fill.geometry,
    figure: { fullness },
  });
  const litresOf = (fullness: number): number =>
    contentsFromDip({ ...fill, geometry: geometryOf(fullness) });
  const leastLitres = litresOf(FULLNESS_RANGE.min);
  const mostLitres = litresOf(FULLNESS_RANGE.max);
  if (!(fill.litres >= leastLitres && fill.litres <= mostLitres)) {
    return { status: 'beyond-every-figure', leastLitres, mostLitres };
  }
  // The litres rise with the fullness; its logarithm is bisected, which needs no slope.
  let low = Math.log(FULLNESS_RANGE.min);
  let high = Math.log(FULLNESS_RANGE.max);
  for (let step = 0; step < 60; step++) {
    const middle = (low + high) / 2;
    if (litresOf(Math.exp(middle)) < fill.litres) low = middle;
    else high = middle;
  }
  const geometry = geometryOf(Math.exp((low + high) / 2));
  return { status: 'fitted', geometry, capacityLitres: capacityLitres(geometry) };
}
