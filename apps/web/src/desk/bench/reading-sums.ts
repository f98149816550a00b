/** From an instrument to a strength or a volume at 20 °C. */
import {
  densityFromStrength,
  FORMULA_SOURCES,
  hydrometerReadingPercentVol,
  measuredLitresAt20C,
  measuredLitresPureAlcohol,
  measuredStrengthFromDensity,
  measuredStrengthFromHydrometer,
} from '@rundlet/alcoholometry';
import { DEFAULT_READING_UNCERTAINTIES as U } from '@rundlet/gauging';
import { benchSum, STRENGTH, TEMPERATURE } from './bench-sum.ts';

export const readingSums = {
  hydrometer: benchSum({
    label: 'Strength by hydrometer',
    inputs: {
      reading: { label: 'Reading', unit: '% vol', hint: 'As it shows' },
      temperatureC: TEMPERATURE,
      obscuration: {
        label: 'Obscuration',
        unit: '% vol',
        hint: 'From dissolved solids; empty for none',
        optional: true,
      },
    },
    source: `${FORMULA_SOURCES.strength}; ${FORMULA_SOURCES.hydrometer}; ±: ${FORMULA_SOURCES.uncertainty}`,
    work({ reading, temperatureC, obscuration }) {
      const { value, u } = measuredStrengthFromHydrometer(
        { value: reading, u: U.hydrometerPercentVol },
        { value: temperatureC, u: U.temperatureC },
        { value: obscuration ?? 0, u: obscuration === null ? 0 : U.obscurationPercentVol },
      );
      return [{ label: 'Strength at 20 °C', value, u, unit: '% vol', decimals: 2 }];
    },
  }),
  densitometer: benchSum({
    label: 'Strength by density meter',
    inputs: { density: { label: 'Density', unit: 'kg/m³' }, temperatureC: TEMPERATURE },
    source: `${FORMULA_SOURCES.strength}; ±: ${FORMULA_SOURCES.uncertainty}`,
    work({ density, temperatureC }) {
      const { value, u } = measuredStrengthFromDensity(
        { value: density, u: U.densitometerKgPerM3 },
        { value: temperatureC, u: U.densitometerTemperatureC },
      );
      return [{ label: 'Strength at 20 °C', value, u, unit: '% vol', decimals: 2 }];
    },
  }),
  expected: benchSum({
    label: 'What the instruments should show',
    inputs: { strengthPercentVol: STRENGTH, temperatureC: TEMPERATURE },
    source: `${FORMULA_SOURCES.density}; ${FORMULA_SOURCES.hydrometer}`,
    work: ({ strengthPercentVol, temperatureC }) => [
      {
        label: 'Hydrometer',
        value: hydrometerReadingPercentVol(strengthPercentVol, temperatureC),
        unit: '% vol',
        decimals: 2,
      },
      {
        label: 'Density',
        value: densityFromStrength(strengthPercentVol, temperatureC),
        unit: 'kg/m³',
        decimals: 2,
      },
    ],
  }),
  volume: benchSum({
    label: 'Litres at 20 °C',
    inputs: {
      measured: { label: 'Volume as metered', unit: 'L' },
      temperatureC: TEMPERATURE,
      strengthPercentVol: STRENGTH,
    },
    source: `${FORMULA_SOURCES.volumeAt20C}; ±: ${FORMULA_SOURCES.uncertainty}`,
    work({ measured, temperatureC, strengthPercentVol }) {
      const strength = { value: strengthPercentVol, u: U.declaredPercentVol };
      const bulk = measuredLitresAt20C(
        { value: measured, u: measured * U.meterRelative },
        { value: temperatureC, u: U.temperatureC },
        strength,
      );
      const pure = measuredLitresPureAlcohol(bulk, strength);
      return [
        { label: 'Volume', value: bulk.value, u: bulk.u, unit: 'L at 20 °C', decimals: 2 },
        { label: 'Pure alcohol', value: pure.value, u: pure.u, unit: 'LPA', decimals: 2 },
      ];
    },
  }),
};
