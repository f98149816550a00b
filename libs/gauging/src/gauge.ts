import { litresPureAlcohol, propagate } from '@rundlet/alcoholometry';
import {
  DEFAULT_READING_UNCERTAINTIES,
  type ReadingUncertainties,
} from './default-uncertainties.ts';
import { nth, type Model } from './model.ts';
import type { GaugeMethod, GaugeReadings } from './readings.ts';
import { strengthModel } from './strength-model.ts';
import { volumeModel, type GaugedVessel } from './volume-model.ts';

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
