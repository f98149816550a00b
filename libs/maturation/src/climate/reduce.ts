import { dayNumber, firstDayOfMonth, isoDate, monthIndexOfDay, monthLabel } from '../calendar.ts';
import type { ClimateFinding, ClimateReport, LoggerRow, MonthlyClimate } from '../types.ts';
import { ethanolSaturationPa, waterSaturationPa } from '../vapour-pressure.ts';

export interface ReduceOptions {
  placeholder?: never;
}

/** Logger rows of any interval to monthly driving terms, averaging vapour pressures. */
export function reduceClimate(
  rows: readonly LoggerRow[],
  _options: ReduceOptions = {},
): { monthly: MonthlyClimate[]; report: ClimateReport } {
  const findings: ClimateFinding[] = [];
  const days = new Map<
    number,
    { t: number; pw: number; pe: number; e: number; n: number; ne: number; pwe: number }
  >();
  let used = 0;
  for (const row of rows) {
    if (row.temperatureC === null || !Number.isFinite(row.temperatureC)) continue;
    const day = dayNumber(row.at);
    const d = days.get(day) ?? { t: 0, pw: 0, pe: 0, e: 0, n: 0, ne: 0, pwe: 0 };
    const pw = waterSaturationPa(row.temperatureC);
    d.t += row.temperatureC;
    d.pw += pw;
    d.pe += ethanolSaturationPa(row.temperatureC);
    d.n++;
    if (row.relativeHumidityPercent !== null && Number.isFinite(row.relativeHumidityPercent)) {
      d.e += (pw * row.relativeHumidityPercent) / 100;
      d.pwe += pw;
      d.ne++;
    }
    days.set(day, d);
    used++;
  }
  const months = new Map<
    number,
    { t: number; pw: number; pe: number; e: number; pwe: number; n: number }
  >();
  for (const [day, d] of days) {
    const key = monthIndexOfDay(day);
    const m = months.get(key) ?? { t: 0, pw: 0, pe: 0, e: 0, pwe: 0, n: 0 };
    m.t += d.t / d.n;
    m.pw += d.pw / d.n;
    m.pe += d.pe / d.n;
    if (d.ne > 0) {
      m.e += d.e / d.ne;
      m.pwe += d.pwe / d.ne;
    }
    m.n++;
    months.set(key, m);
  }
  const sorted = [...days.keys()].sort((a, b) => a - b);
  const monthly = [...months.entries()]
    .sort((a, b) => a[0] - b[0])
    .filter(([, m]) => m.pwe > 0)
    .map(([key, m]): MonthlyClimate => ({
      month: monthLabel(key),
      meanTemperatureC: m.t / m.n,
      waterSaturationPa: m.pw / m.n,
      waterVapourPa: ((m.pw / m.n) * m.e) / m.pwe,
      ethanolSaturationPa: m.pe / m.n,
      coveredShare: Math.min(1, m.n / (firstDayOfMonth(key + 1) - firstDayOfMonth(key))),
    }));
  return {
    monthly,
    report: {
      rowsRead: rows.length,
      rowsUsed: used,
      from: sorted.length > 0 ? isoDate(sorted[0]!) : null,
      to: sorted.length > 0 ? isoDate(sorted.at(-1)!) : null,
      intervalMinutes: null,
      daysExpected: sorted.length > 0 ? sorted.at(-1)! - sorted[0]! + 1 : 0,
      daysCovered: sorted.length,
      findings,
    },
  };
}
