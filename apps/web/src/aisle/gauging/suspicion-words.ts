import type { Gauge, Surety } from '@rundlet/contracts';
import { format } from '../../kit/kit.ts';

type KeeperVerdict = NonNullable<Gauge['keeperVerdict']>;

/** What a keeper can say of a gauge. */
export const KEEPER_WORDS: Readonly<Record<KeeperVerdict, string>> = {
  leak: 'it leaks or has leaked',
  confirmed: 'the cask is sound, the reading right',
  dismissed: 'the reading is wrong',
  regauge: 'gauge it again',
};

/** How sure a suspicion is and since when it may have been so. */
export function suretyWords(surety: Surety): string {
  const sure = `${format.percent(surety.probability, 0)} sure`;
  if (!surety.since) return `${sure}.`;
  const { from, to, likeliest } = surety.since;
  return from === to
    ? `${sure}; since ${format.date(likeliest)}.`
    : `${sure}; it began between ${format.date(from)} and ${format.date(to)}, likeliest about ${format.date(likeliest)}.`;
}
