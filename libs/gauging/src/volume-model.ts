import { CONVENTIONAL_WEIGHING, litresAt20C } from '@rundlet/alcoholometry';
import { capacityLitres } from './capacity.ts';
import type { ReadingUncertainties } from './default-uncertainties.ts';
import { contentsFromDip } from './dip.ts';
import type { CaskGeometry, Orientation } from './geometry.ts';
import { contentsByMeter } from './meter.ts';
import { nth, type Model } from './model.ts';
import type { GaugeReadings } from './readings.ts';
import { contentsByWeight } from './weight.ts';

/** What is known of the vessel beforehand. */
export type GaugedVessel = {
  /** Needed for `dip` and `ullage`. */
  readonly geometry?: CaskGeometry | undefined;
  /** Brim-full litres as measured; dips are then read as a share of it. */
  readonly capacityLitres?: number | null | undefined;
};

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

/** Litres at 20 °C, given the strength, from the readings of a volume. */
export function volumeModel(
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
