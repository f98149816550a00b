import {
  densityKgPerM3,
  litresAt20C,
  litresPureAlcohol,
  propagate,
  strengthFromDensity,
  strengthFromHydrometer,
  CONVENTIONAL_WEIGHING,
  type Measured,
} from '@rundlet/alcoholometry';
import { capacityLitres } from './capacity.ts';
import {
  DEFAULT_READING_UNCERTAINTIES,
  type ReadingUncertainties,
} from './default-uncertainties.ts';
import { contentsFromDip } from './dip.ts';
import type { CaskGeometry, Orientation } from './geometry.ts';
import { contentsByMeter } from './meter.ts';
import type { GaugeMethod, GaugeReadings, StrengthReading } from './readings.ts';
import { contentsByWeight } from './weight.ts';

/** What is known of the vessel beforehand. */
export type GaugedVessel = {
  /** Needed for `dip` and `ullage`. */
  readonly geometry?: CaskGeometry | undefined;
  /** Brim-full litres as measured; dips are then read as a share of it. */
  readonly capacityLitres?: number | null | undefined;
};

export type Gauged = {
  readonly method: GaugeMethod;
  readonly bulkLitresAt20C: number;
  readonly strengthPercentVol: number;
  readonly litresPureAlcohol: number;
  /** Standard uncertainties (k = 1). */
  readonly uncertainties: {
    readonly litres: number;
    readonly percentVol: number;
    readonly litresPureAlcohol: number;
  };
  /** Covariance of bulk litres and strength, L·% vol: by weight they go together, by dip nearly not. */
  readonly covarianceLitresPercentVol: number;
};

/** Inputs of a measurement and the model that reads them in the same order. */
type Model<Result> = {
  readonly inputs: readonly Measured[];
  readonly evaluate: (inputs: readonly number[]) => Result;
};

/** The i-th input; a model is only ever called with as many as it declared. */
function nth(inputs: readonly number[], i: number): number {
  const value = inputs[i];
  if (value === undefined) throw new RangeError(`a measurement model lacks its input ${i}`);
  return value;
}

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

function strengthModel(reading: StrengthReading, u: ReadingUncertainties): Model<number> {
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

function dipModel(
  orientation: Orientation,
  dip: { readonly kind: 'wet' | 'dry'; readonly mm: number },
  liquidTemperatureC: number,
  vessel: GaugedVessel,
  u: ReadingUncertainties,
): Model<(strength: number) => number> {
  const { geometry } = vessel;
  if (geometry === undefined) {
    throw new RangeError(
      'a dip needs the geometry of the cask: figure, bilge, head and length in mm',
    );
  }
  const fromGeometry = capacityLitres(geometry);
  const measured = vessel.capacityLitres ?? undefined;
  return {
    inputs: [
      { value: dip.mm, u: u.dipMm },
      { value: liquidTemperatureC, u: u.temperatureC },
      {
        value: measured === undefined ? 1 : measured / fromGeometry,
        u:
          measured === undefined
            ? u.capacityFromGeometryRelative
            : (u.capacityMeasuredRelative * measured) / fromGeometry,
      },
    ],
    evaluate: (x) => {
      const mm = nth(x, 0);
      const reading = dip.kind === 'wet' ? { wetDipMm: mm } : { dryDipMm: mm };
      const litres = contentsFromDip({ geometry, orientation, ...reading }) * nth(x, 2);
      return (strength) => litresAt20C(litres, nth(x, 1), strength);
    },
  };
}

function volumeModel(
  readings: Exclude<GaugeReadings, { method: 'declared' }>,
  vessel: GaugedVessel,
  u: ReadingUncertainties,
): Model<(strength: number) => number> {
  const temperature = { value: readings.liquidTemperatureC, u: u.temperatureC };
  switch (readings.method) {
    case 'dip': {
      const dip = { kind: 'wet', mm: readings.wetDipMm } as const;
      return dipModel(readings.orientation, dip, readings.liquidTemperatureC, vessel, u);
    }
    case 'ullage': {
      const dip = { kind: 'dry', mm: readings.dryDipMm } as const;
      return dipModel(readings.orientation, dip, readings.liquidTemperatureC, vessel, u);
    }
    case 'weight':
      return {
        inputs: [
          { value: readings.grossKg, u: u.grossKg },
          { value: readings.tareKg, u: u.tareKg },
          temperature,
          { value: CONVENTIONAL_WEIGHING.airDensityKgPerM3, u: u.airDensityKgPerM3 },
        ],
        evaluate: (x) => (strengthPercentVol) =>
          contentsByWeight({
            grossKg: nth(x, 0),
            tareKg: nth(x, 1),
            temperatureC: nth(x, 2),
            airDensityKgPerM3: nth(x, 3),
            strengthPercentVol,
          }),
      };
    case 'meter':
      return {
        inputs: [{ value: readings.litres, u: 0 }, temperature, { value: 1, u: u.meterRelative }],
        evaluate: (x) => (strengthPercentVol) =>
          contentsByMeter({
            litres: nth(x, 0),
            temperatureC: nth(x, 1),
            meterFactor: nth(x, 2),
            strengthPercentVol,
          }),
      };
  }
}

function declaredModel(
  readings: Extract<GaugeReadings, { method: 'declared' }>,
  u: ReadingUncertainties,
): Model<readonly [litres: number, strength: number]> {
  return {
    inputs: [
      {
        value: readings.bulkLitresAt20C,
        u: readings.uncertaintyLitres ?? u.declaredLitresRelative * readings.bulkLitresAt20C,
      },
      {
        value: readings.strengthPercentVol,
        u: readings.uncertaintyPercentVol ?? u.declaredPercentVol,
      },
    ],
    evaluate: (x) => [nth(x, 0), nth(x, 1)],
  };
}

function measurementModel(
  readings: GaugeReadings,
  vessel: GaugedVessel,
  u: ReadingUncertainties,
): Model<readonly [litres: number, strength: number]> {
  if (readings.method === 'declared') return declaredModel(readings, u);
  const strength = strengthModel(readings.strength, u);
  const volume = volumeModel(readings, vessel, u);
  const split = strength.inputs.length;
  return {
    inputs: [...strength.inputs, ...volume.inputs],
    evaluate: (x) => {
      const strengthPercentVol = strength.evaluate(x.slice(0, split));
      return [volume.evaluate(x.slice(split))(strengthPercentVol), strengthPercentVol];
    },
  };
}

/**
 * Bulk litres and strength at 20 °C and litres of pure alcohol from the readings of one gauging, with their
 * standard uncertainties by first-order propagation from the readings'.
 *
 * @param readings what was read, by method
 * @param vessel the cask's geometry (needed for a dip) and its measured capacity, if known
 * @param uncertainties standard uncertainties of the readings
 * @throws OutOfRangeError naming the reading, its range and its unit; RangeError for a dip without a geometry
 */
export function gauge(
  readings: GaugeReadings,
  vessel: GaugedVessel = {},
  uncertainties: ReadingUncertainties = DEFAULT_READING_UNCERTAINTIES,
): Gauged {
  const model = measurementModel(readings, vessel, uncertainties);
  const { values, u, covariance } = propagate(model.inputs, (x) => {
    const [litres, strength] = model.evaluate(x);
    return [litres, strength, litresPureAlcohol(litres, strength)];
  });
  return {
    method: readings.method,
    bulkLitresAt20C: nth(values, 0),
    strengthPercentVol: nth(values, 1),
    litresPureAlcohol: nth(values, 2),
    uncertainties: { litres: nth(u, 0), percentVol: nth(u, 1), litresPureAlcohol: nth(u, 2) },
    covarianceLitresPercentVol: covariance[0]?.[1] ?? 0,
  };
}
