import { densityKgPerM3, requireStrength, requireTemperature } from './density.ts';
import { OutOfRangeError, requireNotNegative, requireWithin } from './out-of-range.ts';
import { densityFromStrength, strengthFromDensity } from './strength.ts';

/** The glass a hydrometer is blown from: cubic expansion and the temperature its scale holds at. */
export type Glass = { readonly expansionPerC: number; readonly referenceC: number };

/** Soda-lime glass graduated at 20 °C: the instrument the tables of OIML R 22 are for. */
export const SODA_LIME_GLASS_20C: Glass = { expansionPerC: 25e-6, referenceC: 20 };
/** Borosilicate glass graduated at 20 °C. The coefficient is from memory, not read in R 22. */
export const BOROSILICATE_GLASS_20C: Glass = { expansionPerC: 10e-6, referenceC: 20 };
/** No correction: an instrument whose reading already is the true density at its temperature. */
export const NO_GLASS_CORRECTION: Glass = { expansionPerC: 0, referenceC: 20 };

/** Slack for the last bits of a double, % vol. */
const LAST_BITS = 1e-9;

export type HydrometerReading = {
  readonly temperatureC: number;
  /** Default: {@link SODA_LIME_GLASS_20C}. */
  readonly glass?: Glass | undefined;
  /** Strength hidden by dissolved solids, % vol, added to the apparent strength. Default 0. */
  readonly obscurationPercentVol?: number | undefined;
} & HydrometerScale;

/** What the stem is graduated in; the reading is taken at the liquid's temperature. */
export type HydrometerScale =
  | {
      readonly readingPercentVol: number;
      readonly readingPercentMass?: undefined;
      readonly readingDensityKgPerM3?: undefined;
    }
  | {
      readonly readingPercentMass: number;
      readonly readingPercentVol?: undefined;
      readonly readingDensityKgPerM3?: undefined;
    }
  | {
      readonly readingDensityKgPerM3: number;
      readonly readingPercentVol?: undefined;
      readonly readingPercentMass?: undefined;
    };

/** Density that the stem's mark stands for at the reference temperature of the glass, kg/m³. */
function scaleDensity(reading: HydrometerScale, referenceC: number): number {
  if (reading.readingPercentVol !== undefined) {
    return densityFromStrength(reading.readingPercentVol, referenceC);
  }
  if (reading.readingPercentMass !== undefined) {
    return densityKgPerM3(reading.readingPercentMass / 100, referenceC);
  }
  return reading.readingDensityKgPerM3;
}

/** Factor from the scale's density to the true one: below 1 when the glass has grown. */
function glassFactor(temperatureC: number, glass: Glass): number {
  requireTemperature(temperatureC);
  requireWithin('expansion of the glass', glass.expansionPerC, {
    min: 0,
    max: 1e-3,
    unit: 'per °C',
  });
  requireTemperature(glass.referenceC);
  return 1 - glass.expansionPerC * (temperatureC - glass.referenceC);
}

/** True density of the liquid, kg/m³ at its temperature, from a hydrometer's reading on its density scale. */
export function densityFromGlassReading(
  readingDensityKgPerM3: number,
  temperatureC: number,
  glass: Glass = SODA_LIME_GLASS_20C,
): number {
  requireNotNegative('hydrometer reading', readingDensityKgPerM3, 'kg/m³');
  return readingDensityKgPerM3 * glassFactor(temperatureC, glass);
}

/** Inverse of {@link densityFromGlassReading}: what the density scale shows. */
export function glassReadingFromDensity(
  densityKgPerM3: number,
  temperatureC: number,
  glass: Glass = SODA_LIME_GLASS_20C,
): number {
  requireNotNegative('density', densityKgPerM3, 'kg/m³');
  return densityKgPerM3 / glassFactor(temperatureC, glass);
}

/**
 * Strength at 20 °C, % vol, from a hydrometer read at another temperature.
 *
 * A reading in % vol means the strength whose density at the scale's reference temperature the stem
 * shows; OIML R 22 calls it the apparent strength. The glass has grown or shrunk since, which the
 * correction undoes; then the density at the liquid's temperature gives the strength.
 *
 * @throws OutOfRangeError if no mixture reads so at that temperature
 * @see OIML R 22, tables for glass instruments; Directive 76/765/EEC for the instruments.
 */
export function strengthFromHydrometer(reading: HydrometerReading): number {
  const glass = reading.glass ?? SODA_LIME_GLASS_20C;
  const density = densityFromGlassReading(
    scaleDensity(reading, glass.referenceC),
    reading.temperatureC,
    glass,
  );
  const apparent = strengthFromDensity(density, reading.temperatureC);
  const obscuration = reading.obscurationPercentVol ?? 0;
  if (!(obscuration >= 0 && apparent + obscuration <= 100 + LAST_BITS)) {
    throw new OutOfRangeError(
      'obscuration',
      obscuration,
      { min: 0, max: 100 - apparent, unit: '% vol' },
      'dissolved solids can only hide strength, and not beyond 100 % vol',
    );
  }
  return Math.min(100, apparent + obscuration);
}

/** What a hydrometer graduated in % vol shows in spirit of a strength at 20 °C; inverse of {@link strengthFromHydrometer}. */
export function hydrometerReadingPercentVol(
  strengthPercentVol: number,
  temperatureC: number,
  glass: Glass = SODA_LIME_GLASS_20C,
  obscurationPercentVol = 0,
): number {
  const apparent = strengthPercentVol - obscurationPercentVol;
  requireStrength(apparent, 'strength less obscuration');
  const density = densityFromStrength(apparent, temperatureC);
  return strengthFromDensity(
    glassReadingFromDensity(density, temperatureC, glass),
    glass.referenceC,
  );
}
