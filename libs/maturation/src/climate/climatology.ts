import { monthIndex } from '../calendar.ts';
import type { Climatology, ClimatologyMonth, MonthlyClimate } from '../types.ts';
import { ethanolSaturationPa, STORE_C, waterSaturationPa } from '../vapour-pressure.ts';

/** Spread of single years about a typical one where no series is long enough to say. */
export const ASSUMED_YEAR_SPREAD_C = 0.6;
export const ASSUMED_YEAR_SPREAD_HUMIDITY = 0.015;
/** years of evidence that the assumed spreads count for */
const SPREAD_WEIGHT = 3;

type Field = 'meanTemperatureC' | 'waterSaturationPa' | 'waterVapourPa' | 'ethanolSaturationPa';
export const FIELDS: readonly Field[] = [
  'meanTemperatureC',
  'waterSaturationPa',
  'waterVapourPa',
  'ethanolSaturationPa',
];

/** Driving terms at steady conditions. RH 0 to 100 %, temperature −40 to 60 °C. */
export function drivingTerms(
  temperatureC: number,
  relativeHumidityPercent: number,
): ClimatologyMonth {
  if (!(relativeHumidityPercent >= 0 && relativeHumidityPercent <= 100)) {
    throw new RangeError(
      `relative humidity ${String(relativeHumidityPercent)} % lies outside 0 to 100 %`,
    );
  }
  if (!(temperatureC >= STORE_C.min && temperatureC <= STORE_C.max)) {
    throw new RangeError(
      `temperature ${String(temperatureC)} °C lies outside ${String(STORE_C.min)} to ${String(STORE_C.max)} °C; check the unit`,
    );
  }
  const saturation = waterSaturationPa(temperatureC);
  return {
    meanTemperatureC: temperatureC,
    waterSaturationPa: saturation,
    waterVapourPa: (saturation * relativeHumidityPercent) / 100,
    ethanolSaturationPa: ethanolSaturationPa(temperatureC),
  };
}

/**
 * A typical year from monthly normals (12 temperatures in °C, 12 relative humidities in %, January
 * first). Use vapour-weighted humidities where they are known, so that vapour is conserved.
 */
export function climatologyFromNormals(normals: {
  meanTemperatureC: readonly number[];
  relativeHumidityPercent: readonly number[];
}): Climatology {
  const { meanTemperatureC, relativeHumidityPercent } = normals;
  if (meanTemperatureC.length !== 12 || relativeHumidityPercent.length !== 12) {
    throw new RangeError('normals need 12 temperatures and 12 humidities, January first');
  }
  return {
    months: meanTemperatureC.map((t, i) => drivingTerms(t, relativeHumidityPercent[i]!)),
    years: 0,
    yearSpreadC: ASSUMED_YEAR_SPREAD_C,
    yearSpreadHumidity: ASSUMED_YEAR_SPREAD_HUMIDITY,
    source: 'normals',
  };
}

/** A store of which nothing is known: 12 °C with a swing of 4 °C, 75 % RH. Says so by its source. */
export function assumedClimatology(): Climatology {
  const season = Array.from(
    { length: 12 },
    (_, i) => 12 - 4 * Math.cos((2 * Math.PI * (i - 0.5)) / 12),
  );
  return {
    ...climatologyFromNormals({
      meanTemperatureC: season,
      relativeHumidityPercent: season.map(() => 75),
    }),
    source: 'assumed',
  };
}

/**
 * The typical year of a monthly series, by calendar month, weighted by what each month covered.
 * Calendar months never seen come from a yearly wave through those that were (a flat line when
 * fewer than four were).
 * @throws RangeError for an empty series
 */
export function climatology(monthly: readonly MonthlyClimate[]): Climatology {
  const usable = monthly.filter((m) => m.coveredShare > 0);
  if (usable.length === 0) {
    throw new RangeError('a climatology needs at least one month; use climatologyFromNormals');
  }
  const columns = FIELDS.map((field) => typicalYear(usable, field));
  const months = Array.from({ length: 12 }, (_, i): ClimatologyMonth => ({
    meanTemperatureC: columns[0]![i]!,
    waterSaturationPa: columns[1]![i]!,
    waterVapourPa: Math.max(0, columns[2]![i]!),
    ethanolSaturationPa: columns[3]![i]!,
  }));
  const covered = usable.reduce((sum, m) => sum + m.coveredShare, 0) / 12;
  return {
    months,
    years: covered,
    yearSpreadC: yearSpread(usable, months, (m) => m.meanTemperatureC, ASSUMED_YEAR_SPREAD_C),
    yearSpreadHumidity: yearSpread(
      usable,
      months,
      (m) => m.waterVapourPa / m.waterSaturationPa,
      ASSUMED_YEAR_SPREAD_HUMIDITY,
    ),
    source: 'logger',
  };
}

export const calendarMonth = (label: string): number => monthIndex(label) % 12;

function typicalYear(monthly: readonly MonthlyClimate[], field: Field): number[] {
  const sum = new Array<number>(12).fill(0);
  const weight = new Array<number>(12).fill(0);
  for (const m of monthly) {
    const i = calendarMonth(m.month);
    sum[i]! += m.coveredShare * m[field];
    weight[i]! += m.coveredShare;
  }
  const seen = weight.flatMap((w, i) => (w > 0 ? [i] : []));
  const wave =
    seen.length === 12
      ? null
      : yearlyWave(
          seen,
          seen.map((i) => sum[i]! / weight[i]!),
        );
  return sum.map((s, i) => (weight[i]! > 0 ? s / weight[i]! : wave!(i)));
}

/** Least squares a + b cos + c sin through (calendar month, value). */
function yearlyWave(at: readonly number[], values: readonly number[]): (month: number) => number {
  const mean = values.reduce((a, b) => a + b, 0) / values.length;
  if (at.length < 4) return () => mean;
  const cos = at.map((i) => Math.cos((2 * Math.PI * i) / 12));
  const sin = at.map((i) => Math.sin((2 * Math.PI * i) / 12));
  // a little ridge keeps half a year of data from inventing the other half
  const rows = [at.map(() => 1), cos, sin];
  const a = rows.map((r, i) => rows.map((c, j) => dot(r, c) + (i === j && i > 0 ? 0.5 : 0)));
  const b = rows.map((r) => dot(r, values));
  const [k0, k1, k2] = solve3(a, b);
  return (i) => k0 + k1 * Math.cos((2 * Math.PI * i) / 12) + k2 * Math.sin((2 * Math.PI * i) / 12);
}

const dot = (a: readonly number[], b: readonly number[]): number =>
  a.reduce((sum, x, i) => sum + x * b[i]!, 0);

function solve3(a: number[][], b: number[]): [number, number, number] {
  const det3 = (m: number[][]): number =>
    m[0]![0]! * (m[1]![1]! * m[2]![2]! - m[1]![2]! * m[2]![1]!) -
    m[0]![1]! * (m[1]![0]! * m[2]![2]! - m[1]![2]! * m[2]![0]!) +
    m[0]![2]! * (m[1]![0]! * m[2]![1]! - m[1]![1]! * m[2]![0]!);
  const whole = det3(a);
  const swap = (j: number): number =>
    det3(a.map((row, i) => row.map((v, k) => (k === j ? b[i]! : v)))) / whole;
  return [swap(0), swap(1), swap(2)];
}

function yearSpread(
  monthly: readonly MonthlyClimate[],
  typical: readonly ClimatologyMonth[],
  value: (m: ClimatologyMonth) => number,
  assumed: number,
): number {
  const years = new Map<number, { sum: number; weight: number }>();
  for (const m of monthly) {
    const year = Math.floor(monthIndex(m.month) / 12);
    const entry = years.get(year) ?? { sum: 0, weight: 0 };
    entry.sum += m.coveredShare * (value(m) - value(typical[calendarMonth(m.month)]!));
    entry.weight += m.coveredShare;
    years.set(year, entry);
  }
  const whole = [...years.values()].filter((y) => y.weight >= 9).map((y) => y.sum / y.weight);
  const n = whole.length;
  const mean = n > 0 ? whole.reduce((a, b) => a + b, 0) / n : 0;
  const squares = whole.reduce((sum, x) => sum + (x - mean) ** 2, 0);
  return Math.sqrt((SPREAD_WEIGHT * assumed ** 2 + squares) / (SPREAD_WEIGHT + Math.max(0, n - 1)));
}
