/** What a person reads off the instruments when gauging, before anything is computed. */
import { z } from 'zod';
import {
  Kilograms,
  Litres,
  Millimetres,
  PositiveLitres,
  StrengthPercentVol,
  TemperatureC,
} from './primitives.ts';

/** How the strength was read. Obscuration is added to a hydrometer's apparent strength and recorded as such. */
export const StrengthReading = z.discriminatedUnion('kind', [
  z.strictObject({
    kind: z.literal('hydrometer'),
    readingPercentVol: StrengthPercentVol,
    temperatureC: TemperatureC,
    obscurationPercentVol: z
      .number()
      .min(0, 'must be at least 0 % vol')
      .max(10, 'must be at most 10 % vol')
      .optional(),
  }),
  z.strictObject({
    kind: z.literal('densitometer'),
    densityKgPerM3: z
      .number()
      .min(700, 'must be at least 700 kg/m³')
      .max(1010, 'must be at most 1010 kg/m³'),
    temperatureC: TemperatureC,
  }),
  z.strictObject({ kind: z.literal('laboratory'), strengthPercentVol: StrengthPercentVol }),
]);
export type StrengthReading = z.infer<typeof StrengthReading>;

const Orientation = z.enum(['lying', 'standing']);

/** One gauging of a cask or vat. `declared` carries figures of another document, already at 20 °C. */
export const GaugeReadings = z.discriminatedUnion('method', [
  z.strictObject({
    method: z.literal('dip'),
    orientation: Orientation,
    wetDipMm: Millimetres,
    liquidTemperatureC: TemperatureC,
    strength: StrengthReading,
  }),
  z.strictObject({
    method: z.literal('ullage'),
    orientation: Orientation,
    dryDipMm: Millimetres,
    liquidTemperatureC: TemperatureC,
    strength: StrengthReading,
  }),
  z.strictObject({
    method: z.literal('weight'),
    grossKg: Kilograms,
    tareKg: Kilograms,
    liquidTemperatureC: TemperatureC,
    strength: StrengthReading,
  }),
  z.strictObject({
    method: z.literal('meter'),
    litres: PositiveLitres,
    liquidTemperatureC: TemperatureC,
    strength: StrengthReading,
  }),
  z.strictObject({
    method: z.literal('declared'),
    bulkLitresAt20C: Litres,
    strengthPercentVol: StrengthPercentVol,
    uncertaintyLitres: Litres.optional(),
    uncertaintyPercentVol: StrengthPercentVol.optional(),
  }),
]);
export type GaugeReadings = z.infer<typeof GaugeReadings>;
export type GaugeMethod = GaugeReadings['method'];

/** Bulk, strength and pure alcohol of one liquid at 20 °C. */
export const LiquidFigures = z.strictObject({
  bulkLitresAt20C: z.number(),
  strengthPercentVol: z.number(),
  litresPureAlcohol: z.number(),
});
export type LiquidFigures = z.infer<typeof LiquidFigures>;

/** Standard uncertainties (k = 1) beside a gauge's figures. */
export const FigureUncertainties = z.strictObject({
  litres: z.number(),
  percentVol: z.number(),
  litresPureAlcohol: z.number(),
});
export type FigureUncertainties = z.infer<typeof FigureUncertainties>;
