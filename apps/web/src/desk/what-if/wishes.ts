import type { AnswerOf, api, WhatIfChange } from '@rundlet/contracts';
import { format } from '../../kit/kit.ts';

/** What is tried on a cask or a parcel; an empty field is a change not tried. */
export interface Wishes {
  /** Day the futures are compared on. */
  compareOn: string;
  changeOn: string;
  toZoneId: string;
  toCask: {
    nominalLitres: number | null;
    woodSpecies: string;
    previousContents: string;
    fillNumber: number | null;
  };
  longerYears: number | null;
  /** Worth of a litre of pure alcohol in the estate's own money; only multiplied with. */
  worthPerLitre: number | null;
}

const DAYS_A_YEAR = 365.25;
const onDay = (ms: number): string => new Date(ms).toISOString().slice(0, 10);
/** The same day of another year where whole years are meant. */
export const yearsOn = (day: string, years: number): string =>
  Number.isInteger(years) && !day.endsWith('-02-29')
    ? `${String(Number(day.slice(0, 4)) + years).padStart(4, '0')}${day.slice(4)}`
    : onDay(Date.parse(day) + years * DAYS_A_YEAR * 86_400_000);
/** First day of a month: the forecast's own days. */
const firstOf = (day: string): string => `${day.slice(0, 7)}-01`;

export function newWishes(today: string): Wishes {
  return {
    compareOn: firstOf(yearsOn(today, 3.1)),
    changeOn: firstOf(yearsOn(today, 1 / 6)),
    toZoneId: '',
    toCask: { nominalLitres: null, woodSpecies: '', previousContents: '', fillNumber: 2 },
    longerYears: 2,
    worthPerLitre: null,
  };
}

/** Why the wishes can't be tried yet, by field; empty when they can. */
export function troubles(wishes: Wishes, today: string): Readonly<Record<string, string>> {
  const found: Record<string, string> = {};
  if (!(wishes.compareOn > today)) found['compareOn'] = 'a day to come is needed';
  if (!(wishes.changeOn >= today)) found['changeOn'] = 'today or a day to come is needed';
  else if (!(wishes.changeOn < wishes.compareOn))
    found['changeOn'] = 'must lie before the day of comparison';
  if (wishes.longerYears !== null && !(wishes.longerYears > 0 && wishes.longerYears <= 20))
    found['longerYears'] = 'between 0 and 20 years';
  return found;
}

/** Years from today on that the forecast must reach. */
export function yearsNeeded(wishes: Wishes, today: string): number {
  const until = yearsOn(wishes.compareOn, wishes.longerYears ?? 0);
  const years = (Date.parse(until) - Date.parse(today)) / (DAYS_A_YEAR * 86_400_000);
  return Math.min(40, Math.max(1, Math.ceil(years * 12 + 1) / 12));
}

type Stores = AnswerOf<typeof api.places.stores>['rows'];
export const zoneNameIn =
  (stores: Stores) =>
  (zoneId: string): string =>
    stores.flatMap((s) => s.zones).find(({ zone }) => zone.id === zoneId)?.zone.name ?? 'a zone';

export function changesOf(wishes: Wishes, zoneName: (id: string) => string): WhatIfChange[] {
  const { toZoneId, toCask, changeOn: on } = wishes;
  const { nominalLitres, woodSpecies, previousContents, fillNumber } = toCask;
  const moved = toZoneId ? [{ name: `moved to ${zoneName(toZoneId)}`, on, toZoneId }] : [];
  const reRacked =
    nominalLitres && woodSpecies && previousContents && fillNumber
      ? [
          {
            name: `re-racked, ${format.number(nominalLitres)} L ${woodSpecies}, fill ${String(fillNumber)}`,
            on,
            toCask: { nominalLitres, woodSpecies, previousContents, fillNumber },
          },
        ]
      : [];
  return [...moved, ...reRacked];
}
