import type { FillingPosterior, WoodContact } from './answers.ts';
import { dayNumber, isoDate, monthIndexOfDay, firstDayOfMonth } from './calendar.ts';
import { drivesOf } from './drives.ts';
import { forecastFilling, type ForecastOptions } from './forecast.ts';
import { vesselOf } from './geometry.ts';
import { traceFilling } from './trace.ts';
import type { CaskKind, ClimateByZone, FillingHistory } from './types.ts';

/**
 * Constants of the index: settings, to be printed beside it. Shapes and ratios are published
 * (README.md, Wood contact); no claim to mg/L is made.
 */
export interface WoodContactSettings {
  /** share of a first filling's wood influence left to later ones, by what the cask held first */
  fillShare: Readonly<Record<string, readonly number[]>>;
  /** years in which two thirds of the fast compounds (tannin, colour, vanillin) are out */
  fastYears: number;
  /** share of the fast compounds in the index */
  fastShare: number;
  /** rate by 10 °C */
  perTenDegrees: number;
  referenceC: number;
  referenceCm2PerLitre: number;
}

export const WOOD_CONTACT_SETTINGS: WoodContactSettings = {
  // later 12-year fills relative to the first: common practice, trade figures
  fillShare: {
    none: [1, 0.28, 0.1, 0.06],
    bourbon: [1, 0.28, 0.1, 0.06],
    whisky: [1, 0.28, 0.1, 0.06],
    sherry: [1, 0.5, 0.18, 0.1],
    wine: [1, 0.5, 0.18, 0.1],
    other: [1, 0.4, 0.14, 0.08],
  },
  fastYears: 1.5,
  fastShare: 0.5,
  perTenDegrees: 1.6,
  referenceC: 15,
  referenceCm2PerLitre: 91,
};

/**
 * Index of wood contact at dates, past and to come: fast extraction that runs out, slow extraction
 * that goes on, each scaled by wall per litre, filling number and temperature, then concentrated by
 * what has evaporated. 1 = one year of a first-fill 200 L cask at 15 °C.
 *
 * @throws RangeError for dates before the liquid came into the present wood
 */
export function woodContactIndex(
  posterior: FillingPosterior,
  filling: FillingHistory,
  climate: ClimateByZone,
  dates: readonly string[],
  options: ForecastOptions & { settings?: WoodContactSettings },
): WoodContact[] {
  const settings = options.settings ?? WOOD_CONTACT_SETTINGS;
  const asOfDay = dayNumber(posterior.asOf);
  const fromDay = dayNumber(posterior.filledOn);
  const past = dates.filter((d) => dayNumber(d) < asOfDay);
  const future = dates.filter((d) => dayNumber(d) >= asOfDay);
  const litres = new Map<string, number>();
  for (const p of traceFilling(
    posterior,
    filling,
    climate,
    [posterior.filledOn, ...past],
    options,
  )) {
    litres.set(p.date, p.bulkLitresAt20C);
  }
  for (const p of forecastFilling(posterior, filling, climate, future, options)) {
    litres.set(p.date, p.bulk.q50);
  }
  const filledLitres = litres.get(posterior.filledOn)!;
  return dates.map((date) => {
    const warmYears = warmth(climate, posterior.zoneId, fromDay, dayNumber(date), settings);
    const now = Math.max(litres.get(date)!, 1e-3);
    const { fast, slow } = extracted(posterior.caskKind, filledLitres, warmYears, settings);
    const concentration = Math.min(5, filledLitres / now);
    return {
      date: isoDate(dayNumber(date)),
      fast: fast * concentration,
      slow: slow * concentration,
      index: (settings.fastShare * fast + (1 - settings.fastShare) * slow) * concentration,
    };
  });
}

function extracted(
  kind: CaskKind,
  litres: number,
  warmYears: number,
  s: WoodContactSettings,
): { fast: number; slow: number } {
  const perLitre = (vesselOf(kind).innerAreaM2 * 1e4) / litres / s.referenceCm2PerLitre;
  const shares = s.fillShare[kind.previousContents] ?? s.fillShare['other']!;
  const left = shares[Math.min(kind.fillNumber, shares.length) - 1]!;
  const oneYear = 1 - Math.exp(-1 / s.fastYears);
  return {
    fast: (perLitre * left * (1 - Math.exp(-warmYears / s.fastYears))) / oneYear,
    slow: perLitre * left * warmYears,
  };
}

/** Years weighted by temperature, month by month. */
function warmth(
  climate: ClimateByZone,
  zoneId: string,
  fromDay: number,
  toDay: number,
  s: WoodContactSettings,
): number {
  const zone = climate[zoneId];
  if (!zone) throw new RangeError(`no climate for zone "${zoneId}"`);
  const { firstMonth, count } = drivesOf(zone);
  let years = 0;
  for (let day = fromDay; day < toDay;) {
    const m = monthIndexOfDay(day);
    const next = Math.min(toDay, firstDayOfMonth(m + 1));
    const month =
      m >= firstMonth && m < firstMonth + count
        ? zone.months[m - firstMonth]!
        : zone.climatology.months[m % 12]!;
    years +=
      ((next - day) / 365.25) * s.perTenDegrees ** ((month.meanTemperatureC - s.referenceC) / 10);
    day = next;
  }
  return years;
}

/** A laboratory or sensory result beside the index on its day. */
export interface WoodResult {
  index: number;
  value: number;
}

/** A straight line through results; `status` says when there are too few. */
export type WoodFit =
  | {
      status: 'fitted';
      slope: number;
      intercept: number;
      residualSd: number;
      r2: number;
      n: number;
    }
  | { status: 'too-few'; n: number };

/** Least squares of results on the index: shown with the index, never silently applied to it. */
export function fitWoodResults(results: readonly WoodResult[]): WoodFit {
  const n = results.length;
  const mx = results.reduce((s, r) => s + r.index, 0) / Math.max(1, n);
  const my = results.reduce((s, r) => s + r.value, 0) / Math.max(1, n);
  const xx = results.reduce((s, r) => s + (r.index - mx) ** 2, 0);
  if (n < 3 || xx === 0) return { status: 'too-few', n };
  const xy = results.reduce((s, r) => s + (r.index - mx) * (r.value - my), 0);
  const yy = results.reduce((s, r) => s + (r.value - my) ** 2, 0);
  const slope = xy / xx;
  const rest = Math.max(0, yy - slope * xy);
  return {
    status: 'fitted',
    slope,
    intercept: my - slope * mx,
    residualSd: Math.sqrt(rest / Math.max(1, n - 2)),
    r2: yy > 0 ? 1 - rest / yy : 1,
    n,
  };
}
