/** What each cask of an owner holds today, and all of them together. Runs in a worker thread. */
import type { OwnerForecast } from '@rundlet/contracts';
import { forecastFilling, forecastSet } from '@rundlet/maturation';
import type { Rows } from '../database/rows.ts';
import type { Beliefs, Knowledge } from './beliefs.ts';
import { climateWords } from './climates.ts';
import { calibrationWords } from './filling-forecast.ts';
import { beginningOf, maturingWhere, membersOf, type Tell } from './stock-forecast.ts';

export interface HoldingsWish {
  readonly today: string;
  readonly accountId: string;
}

export async function holdings(
  rows: Rows,
  beliefs: Beliefs,
  knowledge: Knowledge,
  { today, accountId }: HoldingsWish,
  tell: Tell,
): Promise<OwnerForecast> {
  const members = await membersOf(rows, beliefs, knowledge, maturingWhere({ accountId }), tell);
  const { population, climates } = knowledge;
  const on = beginningOf(members, today);
  const options = { population };
  const [total] = members.length === 0 ? [] : forecastSet(members, climates.byZone, [on], options);
  const zones = new Set(members.map(({ posterior }) => posterior.zoneId));
  return {
    on,
    total: total?.lpa ?? null,
    casks: members.flatMap(({ filling, posterior }) =>
      forecastFilling(posterior, filling, climates.byZone, [on], options).map(({ lpa }) => ({
        fillingId: filling.id,
        litresPureAlcohol: lpa,
      })),
    ),
    assumptions: [
      ...calibrationWords(knowledge),
      ...[...zones].slice(0, 8).map((zone) => climateWords(climates, zone)),
    ],
  };
}
