export * from './calibration.ts';
export * from './capacity.ts';
export {
  contentsFromDip,
  depthMm,
  dipForContents,
  surfaceAreaM2,
  type Dip,
  type DippedCask,
} from './dip.ts';
export * from './geometry.ts';
export * from './meter.ts';
export * from './typical-geometry.ts';
export * from './weight.ts';
export * from './default-uncertainties.ts';
export * from './gauge.ts';
export * from './readings.ts';
export * from './historical-rules.ts';
export * from './gauging-sources.ts';
export type { GaugedVessel } from './volume-model.ts';
