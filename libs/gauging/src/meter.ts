import { litresAt20C, requireWithin } from '@rundlet/alcoholometry';

export type MeteredVolume = {
  /** Litres the meter counted, at the liquid's temperature. */
  readonly litres: number;
  readonly temperatureC: number;
  readonly strengthPercentVol: number;
  /** True litres per indicated litre, from the meter's certificate. Default 1. */
  readonly meterFactor?: number | undefined;
};

/**
 * Litres at 20 °C from a volumetric meter that does not correct for temperature itself.
 *
 * @throws OutOfRangeError
 */
export function contentsByMeter(metered: MeteredVolume): number {
  const factor = metered.meterFactor ?? 1;
  requireWithin('meter factor', factor, { min: 0.9, max: 1.1, unit: 'L/L' });
  return litresAt20C(metered.litres * factor, metered.temperatureC, metered.strengthPercentVol);
}
