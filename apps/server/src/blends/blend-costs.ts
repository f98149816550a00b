/** What using a cask costs, by figures the estate may set; until it does, these are assumed and said to be. */
import { BlendCosts, COSTS_SETTING, type Setting } from '@rundlet/contracts';
import sql from 'sql-template-tag';
import type { Rows } from '../database/rows.ts';

/** Assumed, no published source: only their ratio steers which cask is chosen. */
const ASSUMED: BlendCosts = {
  newSpiritPerLitrePureAlcohol: 5,
  storagePerLitrePureAlcoholYear: 0.5,
  waterPerLitre: 0.002,
};

export async function blendCosts(rows: Rows): Promise<{ costs: BlendCosts; assumed: boolean }> {
  const [latest] = await rows.all<{ record: string }>(
    sql`SELECT "record" FROM "setting" WHERE "id" LIKE ${`${COSTS_SETTING}@%`} ORDER BY "effectiveFrom" DESC LIMIT 1`,
  );
  const set = latest && BlendCosts.safeParse((JSON.parse(latest.record) as Setting).value);
  return set?.success ? { costs: set.data, assumed: false } : { costs: ASSUMED, assumed: true };
}

export const costOf = (costs: BlendCosts, ageYears: number): number =>
  costs.newSpiritPerLitrePureAlcohol + costs.storagePerLitrePureAlcoholYear * ageYears;

/**
 * Maturity that leaves the stock with a cask, in years × litres of pure alcohol. A cask that would soon fall under the
 * strength floor has little future to lose.
 */
export const harmOf = (litresPureAlcohol: number, ageYears: number, atRisk: number): number =>
  litresPureAlcohol * ageYears * (1 - atRisk);
