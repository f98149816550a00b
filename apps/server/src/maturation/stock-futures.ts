/** A parcel's future under changes made to all of it. Runs in a worker thread. */
import type { AnswerOf, api, StockScope, WhatIfChange } from '@rundlet/contracts';
import { whatIfSet } from '@rundlet/maturation';
import type { Rows } from '../database/rows.ts';
import type { Beliefs, Knowledge } from './beliefs.ts';
import { changesFrom, FUTURES_WORDS, requireZones } from './cask-futures.ts';
import { climateWords } from './climates.ts';
import { calibrationWords } from './filling-forecast.ts';
import {
  beginningOf,
  everyMonth,
  maturingWhere,
  membersOf,
  setPointOf,
  type Tell,
} from './stock-forecast.ts';

type Answer = NonNullable<AnswerOf<typeof api.maturation.stockWhatIf>['answer']>;
export interface StockFuturesWish {
  readonly today: string;
  readonly years: number;
  readonly scope: StockScope;
  readonly changes: readonly WhatIfChange[];
}

export async function stockFutures(
  rows: Rows,
  beliefs: Beliefs,
  knowledge: Knowledge,
  { today, years, scope, changes }: StockFuturesWish,
  tell: Tell,
): Promise<Answer> {
  requireZones(changes, today, knowledge);
  const members = await membersOf(
    rows,
    beliefs,
    knowledge,
    maturingWhere(scope),
    (share, casks) => {
      tell(0.5 * share, casks);
    },
  );
  const { climates, population } = knowledge;
  const from = beginningOf(members, today);
  const futures =
    members.length === 0
      ? []
      : whatIfSet(
          members,
          climates.byZone,
          changesFrom(changes, from),
          everyMonth(from, Math.ceil(years * 12)),
          { population },
        );
  const zones = new Set([
    ...members.map(({ posterior }) => posterior.zoneId),
    ...changes.flatMap(({ toZoneId }) => toZoneId ?? []),
  ]);
  return {
    casks: members.length,
    futures: futures.map(({ name, points }) => ({ name, points: points.map(setPointOf) })),
    assumptions: [
      ...calibrationWords(knowledge),
      ...[...zones].slice(0, 8).map((zone) => climateWords(climates, zone)),
      FUTURES_WORDS,
      'Every cask of the parcel is changed alike; whether each fits the cask it would be re-racked into is not looked at here.',
    ],
  };
}
