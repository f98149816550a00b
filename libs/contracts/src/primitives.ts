/** The small shapes every contract is made of. Names carry units; ranges say what the estate's physics allows. */
import { z } from 'zod';

/** UUIDv7 (RFC 9562), made where the thing happened. */
export const Id = z.uuid();
/** ISO 8601 instant in UTC with milliseconds, e.g. 2026-03-01T09:30:00.000Z. */
export const Instant = z.iso.datetime({
  precision: 3,
  error: 'an instant in UTC with milliseconds is needed, like 2026-03-01T09:30:00.000Z',
});
export const CalendarDate = z.iso.date({ error: 'a date is needed, like 2026-03-01' });
/** Calendar month, e.g. 2026-03. */
export const Month = z.string().regex(/^\d{4}-(0[1-9]|1[0-2])$/, 'a month is needed, like 2026-03');

const between = (low: number, high: number, unit: string) =>
  z
    .number({ error: `a number in ${unit} is needed` })
    .min(low, `must be at least ${String(low)} ${unit}`)
    .max(high, `must be at most ${String(high)} ${unit}`);

/** % vol at 20 °C. */
export const StrengthPercentVol = between(0, 100, '% vol');
/** Liquid or air temperature a warehouse can have; the density formula holds from −20 to 40 °C. */
export const TemperatureC = between(-20, 40, '°C');
/** Litres in any one vessel. */
export const Litres = between(0, 10_000_000, 'L');
export const PositiveLitres = Litres.refine((v) => v > 0, 'must be more than 0 L');
export const Kilograms = between(0, 10_000_000, 'kg');
export const Millimetres = between(0, 10_000, 'mm');
/** Fraction of a whole, 0 to 1. */
export const Share = between(0, 1, '(share of 1)');

/** Name or description typed by a person. */
export const Name = z
  .string()
  .trim()
  .min(1, 'must not be empty')
  .max(120, 'must be at most 120 characters');
export const Remark = z.string().trim().max(2000, 'must be at most 2000 characters');
/** Short code as printed: capitals, digits, hyphen, dot, slash. */
export const Code = z
  .string()
  .trim()
  .min(1, 'must not be empty')
  .max(40, 'must be at most 40 characters')
  .regex(/^[0-9A-Z][0-9A-Z./-]*$/, 'may hold capital letters, digits, hyphen, dot and slash only');

/** Short name of a label template: as a file of it would be called. */
export const TemplateId = z
  .string()
  .regex(
    /^[a-z0-9][a-z0-9-]{0,79}$/,
    'may hold small letters, digits and hyphens only, like cask-roll-80x40',
  );

/** Integer milligrams: 2^53 mg is 9 million tonnes, so sums stay exact. */
export const Milligrams = z.int().min(0).max(Number.MAX_SAFE_INTEGER);

/** Where a shown figure comes from. */
export const Provenance = z.enum(['measured', 'calculated', 'forecast', 'assumed', 'declared']);
export type Provenance = z.infer<typeof Provenance>;
