import {
  CONVENTIONAL_WEIGHING,
  densityFromStrength,
  litresAt20C,
  massFromScaleKg,
  OutOfRangeError,
  requireNotNegative,
} from '@rundlet/alcoholometry';

export type WeighedCask = {
  readonly grossKg: number;
  readonly tareKg: number;
  readonly strengthPercentVol: number;
  readonly temperatureC: number;
  /** Default: 1.2 kg/m³, the conventional value. */
  readonly airDensityKgPerM3?: number | undefined;
};

/**
 * Litres at 20 °C by weight: (gross - tare) over the density in air.
 *
 * The scale is taken as adjusted with weights of 8000 kg/m³ (OIML D 28). The temperature only matters for
 * the air the liquid pushes aside, but is asked for so that the record is whole.
 *
 * @throws OutOfRangeError on a negative net weight or readings beyond the tables
 */
export function contentsByWeight(cask: WeighedCask): number {
  const { grossKg, tareKg, strengthPercentVol, temperatureC } = cask;
  requireNotNegative('gross weight', grossKg, 'kg');
  requireNotNegative('tare', tareKg, 'kg');
  if (!(tareKg <= grossKg)) {
    throw new OutOfRangeError(
      'tare',
      tareKg,
      { min: 0, max: grossKg, unit: 'kg' },
      'it is above the gross weight',
    );
  }
  const weighing = {
    ...CONVENTIONAL_WEIGHING,
    airDensityKgPerM3: cask.airDensityKgPerM3 ?? CONVENTIONAL_WEIGHING.airDensityKgPerM3,
  };
  const density = densityFromStrength(strengthPercentVol, temperatureC);
  const kg = massFromScaleKg(grossKg - tareKg, density, weighing);
  return litresAt20C((1000 * kg) / density, temperatureC, strengthPercentVol);
}
