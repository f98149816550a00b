/** A cask's future under changes, and what its wood gives. Run in a worker thread. */
import type {
  CaskResult,
  WhatIfAnswer as Answer,
  WhatIfChange,
  WoodContact as Contact,
} from '@rundlet/contracts';
import {
  addYears,
  fitWoodResults,
  whatIf,
  type WhatIf,
  WOOD_CONTACT_SETTINGS,
  woodContactIndex,
} from '@rundlet/maturation';
import { Refusal } from '../platform/refusals.ts';
import type { Belief, Knowledge } from './beliefs.ts';
import { climateWords } from './climates.ts';
import { dayOf } from './histories.ts';
import { calibrationWords, monthly, pointOf } from './filling-forecast.ts';

export interface WhatIfWish {
  readonly today: string;
  readonly years: number;
  readonly changes: readonly WhatIfChange[];
}

export function whatIfFutures(belief: Belief, knowledge: Knowledge, wish: WhatIfWish): Answer {
  const { history, posterior } = belief;
  const { climates, population } = knowledge;
  const from = posterior.asOf > wish.today ? posterior.asOf : wish.today;
  requireZones(wish.changes, wish.today, knowledge);
  requireRoom(belief, wish.changes);
  const dates = monthly(
    from,
    addYears(from, wish.years),
    wish.changes.map(({ on }) => on),
  );
  const futures = whatIf(
    posterior,
    history,
    climates.byZone,
    changesFrom(wish.changes, from),
    dates,
    { population },
  );
  const zones = new Set([
    posterior.zoneId,
    ...wish.changes.flatMap(({ toZoneId }) => toZoneId ?? []),
  ]);
  return {
    futures: futures.map(({ name, points }) => ({ name, points: points.map(pointOf) })),
    assumptions: [
      ...calibrationWords(knowledge),
      ...[...zones].map((zone) => climateWords(climates, zone)),
      FUTURES_WORDS,
    ],
  };
}

export const FUTURES_WORDS =
  'A cask moved takes on the new zone’s climate and usual rate of loss; one re-racked starts from casks like the new one and soaks its wood again.';

/** @throws Refusal for a change in the past or to a zone nobody knows */
export function requireZones(
  changes: readonly WhatIfChange[],
  today: string,
  { climates }: Knowledge,
): void {
  for (const { name, on, toZoneId } of changes) {
    if (on < today)
      throw new Refusal(
        422,
        'change-in-the-past',
        `${name}: ${on} is past; a change is tried from today (${today}) on.`,
      );
    if (toZoneId !== undefined && !climates.zones.has(toZoneId))
      throw new Refusal(404, 'not-found', `${name}: there is no zone ${toZoneId}.`);
  }
}

/** Changes in the library's words, none before the day its forecast begins. */
export const changesFrom = (changes: readonly WhatIfChange[], from: string): WhatIf[] =>
  changes.map(({ name, on, toZoneId, toCask }) => ({
    name,
    on: on > from ? on : from,
    ...(toZoneId === undefined ? {} : { toZoneId }),
    ...(toCask === undefined
      ? {}
      : {
          toCask: {
            nominalLitres: toCask.nominalLitres,
            species: toCask.woodSpecies,
            previousContents: toCask.previousContents,
            fillNumber: toCask.fillNumber,
          },
        }),
  }));

/** A cask holds a little more than its name says. */
const MOST_OF_NOMINAL = 1.15;

/** @throws Refusal for a cask that can't take what is to go into it */
function requireRoom({ filling }: Belief, changes: readonly WhatIfChange[]): void {
  const litres = filling.figures.bulkLitresAt20C;
  for (const { name, toCask } of changes)
    if (toCask && litres > toCask.nominalLitres * MOST_OF_NOMINAL)
      throw new Refusal(
        422,
        'overfilled',
        `${name}: a cask of ${String(toCask.nominalLitres)} L can't take the ${litres.toFixed(0)} L there are.`,
      );
}

export function woodContact(
  { history, posterior, filling }: Belief,
  { climates, population }: Knowledge,
  { today, years }: { today: string; years: number },
  results: readonly CaskResult[],
): Contact {
  const horizon = addYears(today, years);
  const dates = [posterior.filledOn];
  for (let year = 1; addYears(posterior.filledOn, year) < horizon; year++)
    dates.push(addYears(posterior.filledOn, year));
  if (today > posterior.filledOn) dates.push(today);
  dates.push(horizon);
  const entered = results.filter((r) => dayOf(r.at) >= posterior.filledOn);
  dates.push(...entered.map((r) => dayOf(r.at)));
  const settings = WOOD_CONTACT_SETTINGS;
  const points = woodContactIndex(posterior, history, climates.byZone, [...new Set(dates)].sort(), {
    population,
    settings,
  });
  const indexOn = new Map(points.map((p) => [p.date, p.index]));
  const placed = entered.map(({ id, kind, measure, value, unit, at }) => {
    const on = dayOf(at);
    return { id, kind, measure, value, unit, on, index: indexOn.get(on) ?? 0 };
  });
  return {
    results: placed,
    fits: fitsOf(placed),
    points: points.map(({ date, fast, slow, index }) => ({ on: date, fast, slow, index })),
    assumptions: [
      'An index of contact, not of milligrams: 1 is one year of a first-fill 200 L cask at 15 °C.',
      `Fast compounds give two thirds of theirs in ${String(settings.fastYears)} years and count ${String(Math.round(100 * settings.fastShare))} %; slow ones go on giving.`,
      `Both work ${String(settings.perTenDegrees)} times as fast for 10 °C more, in proportion to the wall per litre, and grow stronger as liquid is lost.`,
      `This is fill ${String(filling.fillNumber)} of wood that held ${filling.previousContents}; later fills give the shares ${(settings.fillShare[filling.previousContents] ?? settings.fillShare['other'] ?? []).join(', ')} of a first (common practice, no published source).`,
    ],
  };
}

/** One line through each measure's results against the index: shown beside them, applied to nothing. */
function fitsOf(results: Contact['results']): Contact['fits'] {
  const groups = new Map<string, Contact['results']>();
  for (const result of results) {
    const key = JSON.stringify([result.measure, result.unit]);
    groups.set(key, [...(groups.get(key) ?? []), result]);
  }
  return [...groups.values()].flatMap((group) => {
    const [first] = group;
    if (!first) return [];
    const fit = fitWoodResults(group);
    const line =
      fit.status === 'fitted'
        ? {
            slope: fit.slope,
            intercept: fit.intercept,
            residualSd: fit.residualSd,
            r2: fit.r2,
          }
        : null;
    return [{ measure: first.measure, unit: first.unit, results: group.length, line }];
  });
}
