/** One cask's past and future, with what stood in between. Runs in a worker thread. */
import type { FillingForecast, ForecastPoint, Gauge, Quantiles } from '@rundlet/contracts';
import {
  addYears,
  crossing,
  forecastFilling,
  lossSplit,
  traceFilling,
  type Crossing,
  type ForecastPoint as Forecast,
  type LossSplit,
} from '@rundlet/maturation';
import type { Belief, Knowledge } from './beliefs.ts';
import { PRIORS_ID } from './calibration-rows.ts';
import { climateWords } from './climates.ts';
import { dayOf } from './histories.ts';

export interface ForecastWish {
  readonly today: string;
  readonly now: string;
  readonly years: number;
  readonly floorPercentVol: number;
  readonly leastLitres: number | undefined;
}

export function fillingForecast(
  belief: Belief,
  knowledge: Knowledge,
  wish: ForecastWish,
): FillingForecast {
  const { filling, gauges, history, posterior } = belief;
  const { climates, population } = knowledge;
  const climate = climates.byZone;
  const horizon = addYears(wish.today, wish.years);
  const dates = monthly(history.filledOn, horizon, [posterior.asOf, wish.today]);
  const options = { population };
  const future = forecastFilling(
    posterior,
    history,
    climate,
    dates.filter((date) => date >= posterior.asOf),
    options,
  ).map(pointOf);
  const past = pastOf(
    belief,
    knowledge,
    dates.filter((date) => date < posterior.asOf),
    future[0],
  );
  const when = (request: { strengthFloor?: number; leastLitres?: number }): Crossing =>
    crossing(
      posterior,
      history,
      climate,
      { ...request, horizon: later(horizon, posterior.asOf) },
      options,
    );
  const { floorPercentVol, leastLitres } = wish;
  return {
    fillingId: filling.id,
    calibrationId: knowledge.calibrationId,
    calibratedAt: knowledge.calibratedAt ?? wish.now,
    climateMeasuredShare: measuredShare(belief, knowledge, wish.today),
    points: [...past, ...future],
    measured: measuredOf(belief),
    stood: gauges.flatMap((g) =>
      g.expected ? [{ on: dayOf(g.takenAt), expected: g.expected }] : [],
    ),
    floor: crossingOf(when({ strengthFloor: floorPercentVol }), floorPercentVol, '% vol'),
    leastVolume:
      leastLitres === undefined ? null : crossingOf(when({ leastLitres }), leastLitres, 'L'),
    lossToDate: lossOf(lossSplit(posterior, history, climate, {}, options)),
    assumptions: assumptionsOf(belief, knowledge),
  };
}

/** The day of filling, the first of each month after it, the days named, and the horizon. */
export function monthly(from: string, to: string, also: readonly string[]): string[] {
  const dates = new Set([from, to, ...also.filter((day) => day >= from && day <= to)]);
  let [year = 0, month = 1] = from.split('-').map(Number);
  for (;;) {
    month += 1;
    if (month > 12) [year, month] = [year + 1, 1];
    const first = `${String(year).padStart(4, '0')}-${String(month).padStart(2, '0')}-01`;
    if (first >= to) return [...dates].sort();
    dates.add(first);
  }
}
const later = (a: string, b: string): string => (a > b ? a : b);

export const pointOf = ({ date, bulk, strength, lpa }: Forecast): ForecastPoint => ({
  on: date,
  bulkLitresAt20C: bulk,
  strengthPercentVol: strength,
  litresPureAlcohol: lpa,
});

/**
 * The likeliest course from filling to the latest evidence. Its doubt is that of the filling record at one end and of the latest
 * evidence at the other, joined by a straight line.
 */
function pastOf(
  { filling, history, posterior }: Belief,
  { climates, population }: Knowledge,
  dates: readonly string[],
  latest: ForecastPoint | undefined,
): ForecastPoint[] {
  if (dates.length === 0) return [];
  const [start, end] = [Date.parse(history.filledOn), Date.parse(posterior.asOf)];
  const { litres, percentVol, litresPureAlcohol } = filling.fillUncertainties;
  return traceFilling(posterior, history, climates.byZone, dates, { population }).map((point) => {
    const share = end > start ? (Date.parse(point.date) - start) / (end - start) : 1;
    const around = (
      value: number,
      u: number,
      spread: Quantiles | undefined,
      most: number,
    ): Quantiles => {
      const sd = (below: boolean): number => {
        const atEnd = spread
          ? (below ? spread.q50 - spread.q05 : spread.q95 - spread.q50) / Z95
          : u;
        return (1 - share) * u + share * Math.max(0, atEnd);
      };
      const at = (z: number): number => Math.min(most, Math.max(0, value + z * sd(z < 0)));
      return { q05: at(-Z95), q10: at(-Z90), q50: value, q90: at(Z90), q95: at(Z95) };
    };
    return {
      on: point.date,
      bulkLitresAt20C: around(point.bulkLitresAt20C, litres, latest?.bulkLitresAt20C, Infinity),
      strengthPercentVol: around(
        point.strengthPercentVol,
        percentVol,
        latest?.strengthPercentVol,
        100,
      ),
      litresPureAlcohol: around(
        point.litresPureAlcohol,
        litresPureAlcohol,
        latest?.litresPureAlcohol,
        Infinity,
      ),
    };
  });
}
/** Standard normal quantiles at 90 and 95 %. */
const Z90 = 1.2815516;
const Z95 = 1.6448536;

function measuredOf({ filling, gauges }: Belief): FillingForecast['measured'] {
  const one = (
    at: string,
    { figures, uncertainties }: Pick<Gauge, 'figures' | 'uncertainties'>,
    verdict: string,
  ): FillingForecast['measured'][number] => ({
    on: dayOf(at),
    ...figures,
    uLitres: uncertainties.litres,
    uPercentVol: uncertainties.percentVol,
    verdict,
  });
  const filled = { figures: filling.fillFigures, uncertainties: filling.fillUncertainties };
  return [
    one(filling.filledAt, filled, 'filled'),
    ...gauges.map((g) => one(g.takenAt, g, g.keeperVerdict ?? g.verdict)),
  ];
}

const crossingOf = (
  { q10, q50, q90, probabilityNever, byDate }: Crossing,
  threshold: number,
  unit: string,
): FillingForecast['floor'] => ({
  threshold,
  unit,
  q10,
  q50,
  q90,
  never: probabilityNever,
  byDate: byDate.map(({ date, probability }) => ({ on: date, probability })),
});

function lossOf({ causes }: LossSplit): FillingForecast['lossToDate'] {
  const of = (cause: LossSplit['causes'][number]['cause']): number =>
    causes.find((c) => c.cause === cause)?.bulkLitresAt20C ?? 0;
  return {
    soakageLitres: of('soakage'),
    ethanolLitres: of('evaporation-ethanol'),
    waterLitres: of('evaporation-water'),
    leakLitres: of('leak'),
    samplesLitres: of('withdrawals') + of('top-ups'),
    gaugeDifferenceLitres: of('gauge-difference'),
  };
}

/** Share of the months from filling to today whose climate the cask's zones measured themselves. */
function measuredShare(belief: Belief, { climates }: Knowledge, today: string): number {
  const { history } = belief;
  const moves = history.events.flatMap((e) => (e.kind === 'move' ? [e] : []));
  let [months, measured] = [0, 0];
  for (const date of monthly(history.filledOn, later(today, history.filledOn), [])) {
    const zoneId = moves.findLast((m) => m.on <= date)?.toZoneId ?? history.zoneId;
    months += 1;
    measured +=
      climates.byZone[zoneId]?.months.find((m) => m.month === date.slice(0, 7))?.coveredShare ?? 0;
  }
  return months === 0 ? 0 : Math.min(1, measured / months);
}

function assumptionsOf(
  { filling, history, posterior, gauges }: Belief,
  knowledge: Knowledge,
): string[] {
  const zones = [
    ...new Set([
      history.zoneId,
      ...history.events.flatMap((e) => (e.kind === 'move' ? e.toZoneId : [])),
    ]),
  ];
  return [
    ...calibrationWords(knowledge),
    ...(gauges.length === 0
      ? ['This cask has not been regauged: its forecast rests on casks like it.']
      : []),
    ...(filling.fillUncertainties.litres === 0
      ? ['The filling was recorded without an uncertainty; 0.05 L and 0.02 % vol were assumed.']
      : []),
    ...zones.map((zone) => climateWords(knowledge.climates, zone)),
    ...(posterior.leak.probability > 0.2
      ? [
          `A leak is ${String(Math.round(100 * posterior.leak.probability))} % likely and part of the forecast.`,
        ]
      : []),
    'Nothing is drawn, topped up or moved from today on. Before the latest gauge the band joins the doubt at filling to the doubt now.',
  ];
}

export function calibrationWords({ calibrationId, population }: Knowledge): string[] {
  if (calibrationId === PRIORS_ID || population.status === 'priors-only')
    return [
      'Nothing has been learnt from this estate’s regauges yet: rates of loss are published orders of magnitude with wide doubt.',
    ];
  return [
    `Rates of loss were learnt from ${String(population.regauges)} regauges of ${String(population.fillings)} fillings here.`,
  ];
}
