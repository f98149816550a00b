/** From a logger's file to the readings that are kept, with the report a person sees before and after. */
import type { ClimateImportReport } from '@rundlet/contracts';
import { reduceClimate, type ClimateFinding, type LoggerRow } from '@rundlet/maturation';
import { readLoggerCsv, type ReadRow } from './logger-csv.ts';

/** Readings in the order of time, one an instant. */
export interface Readings {
  readonly at: readonly string[];
  readonly temperatureC: Float64Array;
  readonly relativeHumidityPercent: Float64Array;
}
export interface ReadLogger {
  readonly readings: Readings;
  readonly report: Omit<ClimateImportReport, 'applied'>;
}

/** Rejected rows told one by one; beyond, only their number. */
const MOST_TOLD = 200;
const TEMPERATURE_C = { low: -60, high: 80 };
const HUMIDITY_PERCENT = { low: 0, high: 100 };

export function readLogger(csv: string, timeZone: string, now: string): ReadLogger {
  const file = readLoggerCsv(csv, timeZone);
  const rejected = [...file.rejected];
  const thinkable = file.rows.filter((row) => {
    if (isThinkable(row)) return true;
    rejected.push({ line: row.line, reason: outside(row) ?? 'This is no reading of air.' });
    return false;
  });
  const { findings } = reduceClimate(thinkable.map(loggerRow)).report;
  const converted = thinkable.map((row) => convert(row, findings));
  const possible = converted.filter((row) => {
    const reason = impossible(row, now);
    if (reason) rejected.push({ line: row.line, reason });
    return reason === null;
  });
  const { readings, doubled } = oneAnInstant(possible);
  const remarks = [...file.remarks, ...findings.map(inWords)];
  if (doubled > 0)
    remarks.push(
      `${String(doubled)} readings had the time of another one; each such group was averaged.`,
    );
  rejected.sort((a, b) => a.line - b.line);
  return {
    readings,
    report: {
      rowsRead: file.rowsRead,
      rowsAccepted: possible.length,
      rejected: rejected.slice(0, MOST_TOLD),
      rejectedCount: rejected.length,
      remarks,
      firstAt: readings.at[0] ?? null,
      lastAt: readings.at.at(-1) ?? null,
      days: new Set(readings.at.map((at) => at.slice(0, 10))).size,
    },
  };
}

const loggerRow = (row: ReadRow): LoggerRow => ({
  at: new Date(row.atMs).toISOString(),
  temperatureC: row.temperatureC,
  relativeHumidityPercent: row.relativeHumidityPercent,
});

/** What the reduction found to be in another unit or another column is kept converted, so that it need not be found again. */
function convert(row: ReadRow, findings: readonly ClimateFinding[]): ReadRow {
  const at = new Date(row.atMs).toISOString();
  let { temperatureC, relativeHumidityPercent } = row;
  for (const { kind, from, to, action } of findings) {
    if (action !== 'converted') continue;
    if (at.slice(0, from.length) < from || at.slice(0, to.length) > to) continue;
    if (kind === 'swapped-columns')
      [temperatureC, relativeHumidityPercent] = [relativeHumidityPercent, temperatureC];
    if (kind === 'fahrenheit') temperatureC = Math.round(((temperatureC - 32) / 1.8) * 1000) / 1000;
    if (kind === 'humidity-as-fraction') relativeHumidityPercent *= 100;
  }
  return { ...row, temperatureC, relativeHumidityPercent };
}

/** Whether it could be air in any unit and either column. */
const isThinkable = ({ temperatureC, relativeHumidityPercent }: ReadRow): boolean =>
  [temperatureC, relativeHumidityPercent].every((v) => v >= -76 && v <= 176);

function outside({ temperatureC, relativeHumidityPercent }: ReadRow): string | null {
  if (!(temperatureC >= TEMPERATURE_C.low && temperatureC <= TEMPERATURE_C.high))
    return `${String(temperatureC)} °C is outside −60 to 80 °C.`;
  if (!(
    relativeHumidityPercent >= HUMIDITY_PERCENT.low &&
    relativeHumidityPercent <= HUMIDITY_PERCENT.high
  ))
    return `${String(relativeHumidityPercent)} % is outside 0 to 100 % relative humidity.`;
  return null;
}

function impossible(row: ReadRow, now: string): string | null {
  const at = new Date(row.atMs).toISOString();
  if (at > now)
    return `${at} is in the future. Check the logger’s clock and the order of day and month.`;
  if (at < '1900') return `${at} is too long ago. Check the logger’s clock.`;
  return outside(row);
}

const inWords = ({ kind, from, to, rows, detail }: ClimateFinding): string => {
  const when = from === to ? from : `${from} to ${to}`;
  return detail === '' ? `${kind.replaceAll('-', ' ')}: ${when}, ${String(rows)} rows` : detail;
};

function oneAnInstant(rows: readonly ReadRow[]): { readings: Readings; doubled: number } {
  const sorted = [...rows].sort((a, b) => a.atMs - b.atMs);
  const at: string[] = [];
  const temperatureC = new Float64Array(sorted.length);
  const relativeHumidityPercent = new Float64Array(sorted.length);
  let doubled = 0;
  for (let i = 0; i < sorted.length;) {
    const { atMs } = sorted[i] as ReadRow;
    let t = 0;
    let h = 0;
    let n = 0;
    for (; i < sorted.length && sorted[i]?.atMs === atMs; i++, n++) {
      t += sorted[i]?.temperatureC ?? 0;
      h += sorted[i]?.relativeHumidityPercent ?? 0;
    }
    doubled += n - 1;
    temperatureC[at.length] = t / n;
    relativeHumidityPercent[at.length] = h / n;
    at.push(new Date(atMs).toISOString());
  }
  return {
    readings: {
      at,
      temperatureC: temperatureC.slice(0, at.length),
      relativeHumidityPercent: relativeHumidityPercent.slice(0, at.length),
    },
    doubled,
  };
}
