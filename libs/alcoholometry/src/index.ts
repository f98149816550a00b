export * from './buoyancy.ts';
export {
  densityKgPerM3,
  ethanolDensity20C,
  ipts68FromIts90,
  MASS_FRACTION_RANGE,
  STRENGTH_RANGE,
  TEMPERATURE_RANGE,
  waterDensity20C,
} from './density.ts';
export * from './hydrometer.ts';
export * from './liquid.ts';
export {
  OutOfRangeError,
  requireFinite,
  requireNotNegative,
  requireWithin,
  type Range,
} from './out-of-range.ts';
export * from './reduction.ts';
export * from './strength.ts';
export * from './volume.ts';
export * from './uncertainty.ts';
export * from './rounding.ts';
export * from './us/index.ts';
export * from './stock.ts';
export * from './measured.ts';
export * from './topping.ts';
export * from './reference-temperature.ts';
export * from './formula-sources.ts';
