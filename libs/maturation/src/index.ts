export * from './types.ts';
export * from './answers.ts';
export {
  addYears,
  civilFromDay,
  dayFromCivil,
  dayNumber,
  firstDayOfMonth,
  isoDate,
  monthIndex,
  monthIndexOfDay,
  monthLabel,
} from './calendar.ts';
export {
  activities,
  ethanolSaturationPa,
  moleFractionFromMassFraction,
  waterBalanceHumidityPercent,
  waterSaturationPa,
} from './vapour-pressure.ts';
export { innerAreaFromCapacity } from './geometry.ts';
export {
  assumedClimatology,
  climatology,
  climatologyFromNormals,
  drivingTerms,
} from './climate/climatology.ts';
export { reduceClimate } from './climate/reduce.ts';
export { zoneClimate, type ZoneClimateSources } from './climate/zone-climate.ts';
export { calibrate, type CalibrateOptions } from './calibrate.ts';
export { forecastFilling, type ForecastOptions } from './forecast.ts';
export {
  answerForecastBundle,
  type BundleAnswer,
  type BundleCask,
  type BundleClimateRow,
  type ForecastBundle,
} from './forecast-bundle.ts';
