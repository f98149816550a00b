import { firstDayOfMonth, isoDate, monthIndexOfDay, monthLabel } from '../calendar.ts';
import type { ClimateFinding, ClimateReport, LoggerRow, MonthlyClimate } from '../types.ts';
import { ethanolSaturationPa, waterSaturationPa } from '../vapour-pressure.ts';
import { withoutFaults } from './sensor-faults.ts';
import { inOrder, readSamples, usualStep, type Sample } from './sequence.ts';
import { dayOfMinutes, labelOfMinutes } from './stamp.ts';
import { settleUnits } from './units.ts';

export interface ReduceOptions {
  /** `checked` (default) recognises °F, swapped columns and fractions; `as-stated` trusts the columns */
  units?: 'checked' | 'as-stated';
}

/** a silence longer than this, and than three steps, is a gap worth telling */
const GAP_MINUTES = 36 * 60;

/**
 * Logger rows of any interval to monthly driving terms. Vapour pressures are averaged, not
 * temperatures and humidities: by day first, so that a month of mixed intervals weighs its days alike.
 * Everything odd that was seen is in the report, with what was done about it.
 */
export function reduceClimate(
  rows: readonly LoggerRow[],
  options: ReduceOptions = {},
): { monthly: MonthlyClimate[]; report: ClimateReport } {
  const findings: ClimateFinding[] = [];
  const ordered = inOrder(readSamples(rows, findings), findings);
  const intervalMinutes = usualStep(ordered);
  const settled = options.units === 'as-stated' ? ordered : settleUnits(ordered, findings);
  const sound = withoutFaults(settled, findings);
  findGaps(sound, intervalMinutes, findings);
  const days = byDay(sound);
  const monthly = byMonth(days);
  const covered = [...days.keys()];
  const from = covered.length > 0 ? covered.reduce((a, b) => Math.min(a, b)) : null;
  const to = covered.length > 0 ? covered.reduce((a, b) => Math.max(a, b)) : null;
  return {
    monthly,
    report: {
      rowsRead: rows.length,
      rowsUsed: sound.length,
      from: from === null ? null : isoDate(from),
      to: to === null ? null : isoDate(to),
      intervalMinutes,
      daysExpected: from === null ? 0 : to! - from + 1,
      daysCovered: covered.length,
      findings,
    },
  };
}

function findGaps(
  samples: readonly Sample[],
  step: number | null,
  findings: ClimateFinding[],
): void {
  const least = Math.max(GAP_MINUTES, 3 * (step ?? 0));
  for (let i = 1; i < samples.length; i++) {
    const silence = samples[i]!.minutes - samples[i - 1]!.minutes;
    if (silence <= least) {
      // an hour put forward leaves exactly one hour out, at night
      if (
        step !== null &&
        step <= 60 &&
        silence === step + 60 &&
        samples[i]!.minutes % 1440 < 300
      ) {
        findings.push({
          kind: 'clock-change',
          from: labelOfMinutes(samples[i - 1]!.minutes),
          to: labelOfMinutes(samples[i]!.minutes),
          rows: 0,
          detail: 'the clock went forward by an hour',
          action: 'kept',
        });
      }
      continue;
    }
    findings.push({
      kind: 'gap',
      from: labelOfMinutes(samples[i - 1]!.minutes),
      to: labelOfMinutes(samples[i]!.minutes),
      rows: step === null ? 0 : Math.round(silence / step) - 1,
      detail: `${String(Math.round(silence / 1440))} days without a reading`,
      action: 'left-empty',
    });
  }
}

/** Means of one day. Vapour is kept relative to the saturation of the rows that had a humidity. */
interface DayMean {
  rows: number;
  temperature: number;
  water: number;
  ethanol: number;
  /** mean relative humidity weighted by saturation pressure, null when no row had one */
  humidity: number | null;
}

function byDay(samples: readonly Sample[]): Map<number, DayMean> {
  const sums = new Map<
    number,
    { n: number; t: number; water: number; ethanol: number; vapour: number; wetWater: number }
  >();
  for (const s of samples) {
    const day = dayOfMinutes(s.minutes);
    let d = sums.get(day);
    if (!d) {
      d = { n: 0, t: 0, water: 0, ethanol: 0, vapour: 0, wetWater: 0 };
      sums.set(day, d);
    }
    const water = waterSaturationPa(s.temperature);
    d.n++;
    d.t += s.temperature;
    d.water += water;
    d.ethanol += ethanolSaturationPa(s.temperature);
    if (s.humidity !== null) {
      d.vapour += (water * s.humidity) / 100;
      d.wetWater += water;
    }
  }
  const counts = [...sums.values()].map((d) => d.n).sort((a, b) => a - b);
  const usual = counts[counts.length >> 1] ?? 1;
  const days = new Map<number, DayMean>();
  for (const [day, d] of sums) {
    // a few rows of a day that usually has many would be its morning, not its mean
    if (d.n < usual / 3) continue;
    days.set(day, {
      rows: d.n,
      temperature: d.t / d.n,
      water: d.water / d.n,
      ethanol: d.ethanol / d.n,
      humidity: d.wetWater > 0 ? d.vapour / d.wetWater : null,
    });
  }
  return days;
}

function byMonth(days: ReadonlyMap<number, DayMean>): MonthlyClimate[] {
  const sums = new Map<
    number,
    { n: number; t: number; water: number; ethanol: number; vapour: number; wetWater: number }
  >();
  for (const [day, d] of days) {
    const month = monthIndexOfDay(day);
    let m = sums.get(month);
    if (!m) {
      m = { n: 0, t: 0, water: 0, ethanol: 0, vapour: 0, wetWater: 0 };
      sums.set(month, m);
    }
    m.n++;
    m.t += d.temperature;
    m.water += d.water;
    m.ethanol += d.ethanol;
    if (d.humidity !== null) {
      m.vapour += d.water * d.humidity;
      m.wetWater += d.water;
    }
  }
  return [...sums.entries()]
    .filter(([, m]) => m.wetWater > 0)
    .sort((a, b) => a[0] - b[0])
    .map(([month, m]): MonthlyClimate => ({
      month: monthLabel(month),
      meanTemperatureC: m.t / m.n,
      waterSaturationPa: m.water / m.n,
      waterVapourPa: ((m.water / m.n) * m.vapour) / m.wetWater,
      ethanolSaturationPa: m.ethanol / m.n,
      coveredShare: m.n / (firstDayOfMonth(month + 1) - firstDayOfMonth(month)),
    }));
}
