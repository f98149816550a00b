import {
  densityKgPerM3,
  strengthFromDensity,
  strengthFromHydrometer,
} from '@rundlet/alcoholometry';
import type { ReadingUncertainties } from './default-uncertainties.ts';
import { nth, type Model } from './model.ts';
import type { StrengthReading } from './readings.ts';

/**
 * A densitometer's reading; in pure water or ethanol it may fall beyond what any mixture has by the
 * instrument's own uncertainty, and then counts as pure.
 */
function withinMixtures(
  reading: Extract<StrengthReading, { kind: 'densitometer' }>,
  toleranceKgPerM3: number,
): number {
  const { densityKgPerM3: density, temperatureC } = reading;
  const lightest = densityKgPerM3(1, temperatureC);
  const densest = densityKgPerM3(0, temperatureC);
  if (density > densest && density <= densest + toleranceKgPerM3) return densest;
  if (density < lightest && density >= lightest - toleranceKgPerM3) return lightest;
  return density;
}

/** Strength at 20 °C, % vol, from its reading. */
export function strengthModel(reading: StrengthReading, u: ReadingUncertainties): Model<number> {
  switch (reading.kind) {
    case 'hydrometer': {
      const obscuration = reading.obscurationPercentVol ?? 0;
      return {
        inputs: [
          { value: reading.readingPercentVol, u: u.hydrometerPercentVol },
          { value: reading.temperatureC, u: u.temperatureC },
          { value: obscuration, u: obscuration === 0 ? 0 : u.obscurationPercentVol },
        ],
        evaluate: (x) =>
          strengthFromHydrometer({
            readingPercentVol: nth(x, 0),
            temperatureC: nth(x, 1),
            obscurationPercentVol: nth(x, 2),
          }),
      };
    }
    case 'densitometer':
      return {
        inputs: [
          { value: withinMixtures(reading, 2 * u.densitometerKgPerM3), u: u.densitometerKgPerM3 },
          { value: reading.temperatureC, u: u.densitometerTemperatureC },
        ],
        evaluate: (x) => strengthFromDensity(nth(x, 0), nth(x, 1)),
      };
    case 'laboratory':
      return {
        inputs: [{ value: reading.strengthPercentVol, u: u.laboratoryPercentVol }],
        evaluate: (x) => nth(x, 0),
      };
  }
}
