import type { ClimateView } from '@rundlet/contracts';
import type { Rows } from '../database/rows.ts';
import { dailyReadings, type ZoneMonths } from './zone-readings.ts';

const DAY_MS = 86_400_000;

/** Days, months and gaps of a zone. Days are days in UTC. */
export async function climateView(
  rows: Rows,
  months: ZoneMonths,
  zoneId: string,
  range: { from: string | undefined; to: string | undefined },
): Promise<Omit<ClimateView, 'zoneId' | 'imports'>> {
  const days = await dailyReadings(rows, zoneId, range);
  const monthly = await months.of(rows, zoneId);
  return {
    days,
    months: monthly
      .filter(
        ({ month }) =>
          month >= (range.from ?? '').slice(0, 7) && month <= (range.to ?? '9999').slice(0, 7),
      )
      .map((m) => ({
        month: m.month,
        meanC: m.meanTemperatureC,
        // Of the mean vapour pressures: what the wood sees, not the mean of the percentages.
        relativeHumidityPercent: Math.min(100, (100 * m.waterVapourPa) / m.waterSaturationPa),
        measuredShare: m.coveredShare,
      })),
    gaps: gapsBetween(days.map(({ on }) => on)),
  };
}

/** Runs of days without a reading between days with some. */
export function gapsBetween(days: readonly string[]): ClimateView['gaps'] {
  return days.flatMap((day, i) => {
    const before = days[i - 1];
    if (before === undefined) return [];
    const missing = Math.round((Date.parse(day) - Date.parse(before)) / DAY_MS) - 1;
    return missing < 1 ? [] : [{ from: shifted(before, 1), to: shifted(day, -1), days: missing }];
  });
}

const shifted = (day: string, by: number): string =>
  new Date(Date.parse(day) + by * DAY_MS).toISOString().slice(0, 10);
