import { z } from 'zod';

/** What an estate may tell of a bottling, or withhold. */
export const BOTTLING_FACTS = [
  'plots',
  'varieties',
  'harvests',
  'still-runs',
  'cask-kinds',
  'years',
  'store-climate',
  'ways',
] as const;
/** The steps that ways lead between, from the field to the bottle. */
export const WAYS_STEPS = ['plots', 'harvests', 'still-runs', 'cask-kinds'] as const;
export type WaysStep = (typeof WAYS_STEPS)[number];
export const BottlingFact = z.enum(BOTTLING_FACTS);
export type BottlingFact = z.infer<typeof BottlingFact>;

/** A name and its share of the ethanol in the bottle. */
const Share = z.strictObject({ name: z.string(), share: z.number().min(0).max(1.000001) });

/** Everything that may be told; each list's shares sum to 1. */
export const BottlingStory = z.strictObject({
  plots: z.array(Share),
  varieties: z.array(Share),
  harvests: z.array(Share),
  'still-runs': z.array(Share),
  'cask-kinds': z.array(Share),
  /** Whole years in oak of the youngest and the oldest cask; null where no casks are recorded. */
  years: z.strictObject({ youngest: z.int(), oldest: z.int() }).nullable(),
  'store-climate': z.array(
    z.strictObject({
      name: z.string(),
      meanTemperatureC: z.number(),
      meanRelativeHumidityPercent: z.number(),
    }),
  ),
  /** How much of each part of one step went into each of the next that is told: places in the two lists, and the share. */
  ways: z.array(
    z.strictObject({
      from: z.enum(WAYS_STEPS),
      to: z.enum(WAYS_STEPS),
      flows: z.array(z.tuple([z.int().min(0), z.int().min(0), z.number().min(0).max(1.000001)])),
    }),
  ),
});
export type BottlingStory = z.infer<typeof BottlingStory>;

/** What the estate says, signed, of one bottling run, and the checkpoint of the journal it rests on. */
export const BottlingStatement = z.strictObject({
  says: z.literal('bottling'),
  estate: z.string(),
  run: z.string(),
  name: z.string(),
  bottledOn: z.string(),
  bottles: z.int(),
  bottleMl: z.number(),
  strengthPercentVol: z.number(),
  told: BottlingStory.partial(),
  withheld: z.array(BottlingFact),
  /** A signed checkpoint that covers the entry of the run. */
  checkpoint: z.string(),
});
export type BottlingStatement = z.infer<typeof BottlingStatement>;
