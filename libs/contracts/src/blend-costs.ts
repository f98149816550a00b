import { z } from 'zod';

/** The setting of what using a cask in a blend costs. */
export const COSTS_SETTING = 'blend.costs';

const Cost = z.number().min(0).max(1e6);

/** In the estate's currency. */
export const BlendCosts = z.strictObject({
  newSpiritPerLitrePureAlcohol: Cost,
  storagePerLitrePureAlcoholYear: Cost,
  waterPerLitre: Cost,
});
export type BlendCosts = z.infer<typeof BlendCosts>;
