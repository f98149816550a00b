import type { Orientation } from './geometry.ts';

/** How the strength of a gauging was read. Structurally what a form or a message carries. */
export type StrengthReading =
  | {
      readonly kind: 'hydrometer';
      readonly readingPercentVol: number;
      readonly temperatureC: number;
      /** Strength hidden by dissolved solids, % vol, added to the apparent strength. */
      readonly obscurationPercentVol?: number | undefined;
    }
  | {
      readonly kind: 'densitometer';
      readonly densityKgPerM3: number;
      readonly temperatureC: number;
    }
  | { readonly kind: 'laboratory'; readonly strengthPercentVol: number };

/** What a person reads off the instruments when gauging a cask, by method. */
export type GaugeReadings =
  | {
      readonly method: 'dip';
      readonly orientation: Orientation;
      readonly wetDipMm: number;
      readonly liquidTemperatureC: number;
      readonly strength: StrengthReading;
    }
  | {
      readonly method: 'ullage';
      readonly orientation: Orientation;
      readonly dryDipMm: number;
      readonly liquidTemperatureC: number;
      readonly strength: StrengthReading;
    }
  | {
      readonly method: 'weight';
      readonly grossKg: number;
      readonly tareKg: number;
      readonly liquidTemperatureC: number;
      readonly strength: StrengthReading;
    }
  | {
      readonly method: 'meter';
      /** Litres counted, at the liquid's temperature. */
      readonly litres: number;
      readonly liquidTemperatureC: number;
      readonly strength: StrengthReading;
    }
  | {
      /** Litres and strength at 20 °C that another document states. */
      readonly method: 'declared';
      readonly bulkLitresAt20C: number;
      readonly strengthPercentVol: number;
      /** Standard uncertainties, where the document states them. */
      readonly uncertaintyLitres?: number | undefined;
      readonly uncertaintyPercentVol?: number | undefined;
    };

export type GaugeMethod = GaugeReadings['method'];
