import { OutOfRangeError, requireNotNegative } from './out-of-range.ts';

/** Air and weights that a weighing in air is stated for. */
export type Weighing = {
  readonly airDensityKgPerM3: number;
  readonly weightsDensityKgPerM3: number;
};

/** The conditions of the conventional value of a weighing in air: air 1.2, weights 8000 kg/m³ (OIML D 28). */
export const CONVENTIONAL_WEIGHING: Weighing = {
  airDensityKgPerM3: 1.2,
  weightsDensityKgPerM3: 8000,
};

function requireWeighing({ airDensityKgPerM3, weightsDensityKgPerM3 }: Weighing): void {
  requireNotNegative('air density', airDensityKgPerM3, 'kg/m³');
  if (!(weightsDensityKgPerM3 > airDensityKgPerM3)) {
    throw new OutOfRangeError('density of the weights', weightsDensityKgPerM3, {
      min: airDensityKgPerM3,
      max: Infinity,
      unit: 'kg/m³',
    });
  }
}

/**
 * Density in air, kg/m³: what a litre weighs in air against the weights, per volume.
 * (rho - air) / (1 - air / weights).
 *
 * @param densityKgPerM3 true density (in vacuo), not below the air's
 * @throws OutOfRangeError
 */
export function densityInAir(
  densityKgPerM3: number,
  weighing: Weighing = CONVENTIONAL_WEIGHING,
): number {
  requireWeighing(weighing);
  const { airDensityKgPerM3: air, weightsDensityKgPerM3: weights } = weighing;
  requireNotNegative('density less air density', densityKgPerM3 - air, 'kg/m³');
  return (densityKgPerM3 - air) / (1 - air / weights);
}

/** True density (in vacuo), kg/m³, from the density in air; inverse of {@link densityInAir}. */
export function densityInVacuo(
  densityInAirKgPerM3: number,
  weighing: Weighing = CONVENTIONAL_WEIGHING,
): number {
  requireWeighing(weighing);
  requireNotNegative('density in air', densityInAirKgPerM3, 'kg/m³');
  const { airDensityKgPerM3: air, weightsDensityKgPerM3: weights } = weighing;
  return densityInAirKgPerM3 * (1 - air / weights) + air;
}

/** True mass, kg, of spirit of a given true density from what the scale shows in air. */
export function massFromScaleKg(
  scaleKg: number,
  densityKgPerM3: number,
  weighing: Weighing = CONVENTIONAL_WEIGHING,
): number {
  requireNotNegative('weight', scaleKg, 'kg');
  return (scaleKg * densityKgPerM3) / densityInAir(densityKgPerM3, weighing);
}
