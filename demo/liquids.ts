/** Small sums of liquids that the alcoholometry library has no need of. */
import { densityKgPerM3, volumeOfLiquid, type Liquid } from '@rundlet/alcoholometry';
import type { GaugeReadings } from '@rundlet/contracts';
import { gauge } from '@rundlet/gauging';
import { liquidFromVolume } from '@rundlet/alcoholometry';
import type { MadeCask } from './cooperage.ts';

export const NOTHING: Liquid = { ethanolKg: 0, waterKg: 0 };

export const share = (liquid: Liquid, part: number): Liquid => ({
  ethanolKg: liquid.ethanolKg * part,
  waterKg: liquid.waterKg * part,
});
export const less = (liquid: Liquid, taken: Liquid): Liquid => ({
  ethanolKg: Math.max(0, liquid.ethanolKg - taken.ethanolKg),
  waterKg: Math.max(0, liquid.waterKg - taken.waterKg),
});
export const litresOf = (liquid: Liquid): number => volumeOfLiquid(liquid).bulkLitresAt20C;
/** The part of a liquid that has this volume at 20 °C. */
export const litresFrom = (liquid: Liquid, litresAt20C: number): Liquid =>
  share(liquid, Math.min(1, litresAt20C / litresOf(liquid)));

export const waterLiquid = (litres: number, temperatureC: number): Liquid => ({
  ethanolKg: 0,
  waterKg: (litres * densityKgPerM3(0, temperatureC)) / 1000,
});

/** What a gauging writes into the book. */
export function bookOf(readings: GaugeReadings, cask: MadeCask | null): Liquid {
  const { bulkLitresAt20C, strengthPercentVol } = gauge(readings, cask === null ? {} : cask);
  return liquidFromVolume(bulkLitresAt20C, strengthPercentVol);
}
