/** A logger's CSV to readings in °C and % RH at instants; every row that is left out is named with its reason. */
import Papa from 'papaparse';
import {
  columnsByOrder,
  columnsOf,
  unitOfRow,
  type Columns,
  type TemperatureUnit,
} from './logger-columns.ts';
import { dayOrderOf, readStamp, type Stamp } from './logger-stamps.ts';
import { toInstants, ZoneClock } from './wall-clock.ts';

export interface ReadRow {
  readonly line: number;
  readonly atMs: number;
  readonly temperatureC: number;
  readonly relativeHumidityPercent: number;
}
export interface RejectedRow {
  readonly line: number;
  readonly reason: string;
}
export interface LoggerFile {
  readonly rowsRead: number;
  readonly rows: readonly ReadRow[];
  readonly rejected: readonly RejectedRow[];
  readonly remarks: readonly string[];
}

/** Lines about the logger that may stand above the header. */
const MOST_PREAMBLE_LINES = 60;

/** @param timeZone IANA name of the store's time zone, for stamps that carry no offset of their own */
export function readLoggerCsv(csv: string, timeZone: string): LoggerFile {
  const parsed = Papa.parse<string[]>(csv.replace(/^\uFEFF/, ''), {
    delimitersToGuess: [';', ',', '\t', '|'],
    delimiter: '',
    skipEmptyLines: false,
  });
  const lines = parsed.data.map((cells, i) => ({ line: i + 1, cells }));
  const remarks: string[] = [];
  const header = findHeader(lines);
  if ('reason' in header)
    return {
      rowsRead: 0,
      rows: [],
      rejected: [{ line: header.line, reason: header.reason }],
      remarks,
    };
  if (header.byOrder)
    remarks.push('The file has no header: taken as time, temperature (°C), relative humidity (%).');
  let { columns } = header;
  let body = lines
    .slice(header.index + (header.byOrder ? 0 : 1))
    .filter(({ cells }) => cells.some((cell) => cell.trim() !== ''));
  const unitRow = body[0] && unitOfRow(body[0].cells, columns);
  if (unitRow) {
    columns = { ...columns, temperatureUnit: unitRow };
    body = body.slice(1);
  }
  if (columns.temperatureUnit !== 'C')
    remarks.push(
      `Temperatures were converted from ${columns.temperatureUnit === 'F' ? '°F' : 'kelvin'}.`,
    );
  return { ...readBody(body, columns, timeZone, remarks), remarks };
}

interface Line {
  readonly line: number;
  readonly cells: readonly string[];
}

function findHeader(
  lines: readonly Line[],
): { index: number; columns: Columns; byOrder: boolean } | { line: number; reason: string } {
  let lacking: { line: number; reason: string } | null = null;
  for (const [index, { line, cells }] of lines.slice(0, MOST_PREAMBLE_LINES).entries()) {
    const found = columnsOf(cells);
    if (found && 'columns' in found) return { index, columns: found.columns, byOrder: false };
    if (found && cells.length > 1) lacking ??= { line, reason: `The header has ${found.missing}.` };
    const byOrder = columnsByOrder(cells);
    if (!lacking && stampText(cells, byOrder) !== '' && cells.length > byOrder.humidity) {
      const stamp =
        readStamp(stampText(cells, byOrder), 'day-first') ??
        readStamp(stampText(cells, byOrder), 'month-first');
      if (stamp && readNumber(cells[byOrder.temperature]) !== null)
        return { index, columns: byOrder, byOrder: true };
    }
  }
  return (
    lacking ?? {
      line: 1,
      reason:
        'No header was found. Give a first line that names the columns, like: time,temperature (°C),relative humidity (%).',
    }
  );
}

function readBody(
  body: readonly Line[],
  columns: Columns,
  timeZone: string,
  remarks: string[],
): Omit<LoggerFile, 'remarks'> {
  const rejected: RejectedRow[] = [];
  const { order, sure } = dayOrderOf(body.map(({ cells }) => stampText(cells, columns)));
  if (!sure)
    remarks.push(
      'Whether days or months come first can’t be told from the dates; days were taken to come first.',
    );
  const read: { line: number; stamp: Stamp; temperatureC: number; humidity: number }[] = [];
  let oversaturated = 0;
  for (const { line, cells } of body) {
    const reject = (reason: string): void => void rejected.push({ line, reason });
    const text = stampText(cells, columns);
    const stamp = readStamp(text, order);
    const temperature = readNumber(cells[columns.temperature]);
    const humidity = readNumber(cells[columns.humidity]);
    if (!stamp) {
      reject(`"${text}" is no time this program reads; 2026-03-01 09:30 is.`);
      continue;
    }
    if (temperature === null || humidity === null) {
      const [what, cell] =
        temperature === null
          ? ['temperature', cells[columns.temperature]]
          : ['relative humidity', cells[columns.humidity]];
      reject(
        (cell ?? '').trim() === ''
          ? `The ${what} is missing.`
          : `"${cell?.trim() ?? ''}" is no ${what}.`,
      );
      continue;
    }
    const percent = columns.humidityIsShare ? humidity * 100 : humidity;
    const temperatureC = toCelsius(temperature, columns.temperatureUnit);
    if (percent > 100 && percent <= 105) oversaturated++;
    read.push({
      line,
      stamp: withOffset(stamp, columns.offsetMinutes),
      temperatureC,
      humidity: percent > 100 && percent <= 105 ? 100 : percent,
    });
  }
  if (oversaturated > 0)
    remarks.push(
      `${String(oversaturated)} readings between 100 and 105 % RH were taken as 100 %: sensors overshoot in damp air.`,
    );
  const instants = instantsOf(
    read.map((r) => r.stamp),
    timeZone,
    remarks,
  );
  return {
    rowsRead: body.length,
    rejected,
    rows: read.map((r, i) => ({
      line: r.line,
      atMs: instants[i] as number,
      temperatureC: r.temperatureC,
      relativeHumidityPercent: r.humidity,
    })),
  };
}

function instantsOf(stamps: readonly Stamp[], timeZone: string, remarks: string[]): number[] {
  const walls = stamps.filter((stamp) => stamp.kind === 'wall').map((stamp) => stamp.ms);
  const { ms, clock } = toInstants(walls, new ZoneClock(timeZone));
  if (walls.length > 0)
    remarks.push(`Times without an offset were taken as the store’s (${timeZone}).`);
  if (clock === 'stays-on-standard-time')
    remarks.push('The logger keeps standard time all year; its times were read so.');
  let next = 0;
  return stamps.map((stamp) => (stamp.kind === 'instant' ? stamp.ms : (ms[next++] as number)));
}

const withOffset = (stamp: Stamp, offsetMinutes: number | null): Stamp =>
  stamp.kind === 'wall' && offsetMinutes !== null
    ? { kind: 'instant', ms: stamp.ms - offsetMinutes * 60_000 }
    : stamp;

function stampText(cells: readonly string[], columns: Columns): string {
  return columns.stamp
    .map((i) => (cells[i] ?? '').trim())
    .join(' ')
    .trim();
}

/** A number with a point or a comma, perhaps with its unit behind it. */
function readNumber(cell: string | undefined): number | null {
  const text = (cell ?? '')
    .trim()
    .replace(/\s*(°\s*[CFK]?|º\s*[CFK]?|%(\s*r\.?h\.?)?|[CFK])$/i, '')
    .replace('−', '-');
  if (!/^[+-]?(\d+([.,]\d*)?|[.,]\d+)(e[+-]?\d+)?$/i.test(text)) return null;
  const value = Number(text.replace(',', '.'));
  return Number.isFinite(value) ? value : null;
}

function toCelsius(value: number, unit: TemperatureUnit): number {
  const c = unit === 'F' ? (value - 32) / 1.8 : unit === 'K' ? value - 273.15 : value;
  return unit === 'C' ? c : Math.round(c * 1000) / 1000;
}
