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
export { updateFilling } from './update.ts';
export { addSets, finishSet, forecastSet, sumSet, type SetSums } from './forecast-set.ts';
export {
  addStocks,
  addToStock,
  BLOCK_WIDTH,
  emptyStock,
  finishStock,
  LEVEL_COUNT,
  type StockSums,
} from './stock-forecast.ts';
export { normalBelow } from './normal.ts';
export { crossing, type CrossingRequest } from './crossing.ts';
export { lossSplit } from './loss-split.ts';
export { traceFilling, type TracePoint } from './trace.ts';
export { assessRegauge, type AssessOptions } from './assess.ts';
export { regaugeRanking, type RankingRequest } from './regauge-ranking.ts';
export { whatIf, type WhatIfAnswer } from './what-if.ts';
export { whatIfSet } from './what-if-set.ts';
export {
  fitWoodResults,
  WOOD_CONTACT_SETTINGS,
  woodContactIndex,
  type WoodContactSettings,
  type WoodFit,
  type WoodResult,
} from './wood-contact.ts';
