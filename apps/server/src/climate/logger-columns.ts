/** Finding the columns of a logger's file by what its header says. */

export type TemperatureUnit = 'C' | 'F' | 'K';

export interface Columns {
  /** One column with date and time, or a date and a time column. */
  readonly stamp: readonly number[];
  readonly temperature: number;
  readonly humidity: number;
  readonly temperatureUnit: TemperatureUnit;
  /** Relative humidity as a share of 1 instead of per cent. */
  readonly humidityIsShare: boolean;
  /** Minutes east of UTC that the header states for its stamps; null when it doesn't. */
  readonly offsetMinutes: number | null;
}

const STAMP =
  /^(date[\s_-]*(and[\s_-]*)?time|date\/time|time[\s_-]*stamp|datum[\s_/-]*(und[\s_-]*)?(uhr)?zeit|zeitstempel|messzeit|zeitpunkt|horodatage|fecha[\s_-]*y?[\s_-]*hora|data[\s_-]*ora|logged(?:[\s_-]*at)?|recorded(?:[\s_-]*at)?|measured(?:[\s_-]*at)?|when|at)\b/;
const DATE_ONLY = /^(date|datum|fecha|data|day|tag|jour)\b/;
const TIME_ONLY = /^(time|uhrzeit|zeit|hora|heure|ora)\b/;
const TEMPERATURE =
  /(temp|°\s*[cf]\b|º\s*[cf]\b|\bdeg(rees)?[\s_.]*[cf]\b|celsius|fahrenheit|^t(\b|_))/;
const HUMIDITY =
  /(humid|feuchte|humidit|humedad|umidit|(^|[^a-z])r\.?\s*h\.?([^a-z]|$)|rel\.?\s*(h|f))/;
/** Columns that speak of temperature or humidity but are not the reading of the air. */
const OTHER =
  /(dew|taupunkt|ros[ée]e|wet.?bulb|feuchtkugel|battery|batterie|alarm|limit|absol|\bmin\b|\bmax\b|set.?point)/;

const plain = (cell: string): string => cell.trim().toLowerCase();

/** Columns of a header row; null when the row is no header. `missing` says what a header lacks. */
export function columnsOf(
  cells: readonly string[],
): { columns: Columns } | { missing: string } | null {
  const names = cells.map(plain);
  if (names.every((name) => name === '' || /^[\d\s.,:/+-]+$/.test(name))) return null;
  const find = (pattern: RegExp, taken: readonly number[] = []): number =>
    names.findIndex((name, i) => !taken.includes(i) && pattern.test(name) && !OTHER.test(name));
  const stamp = stampColumns(names);
  const humidity = find(HUMIDITY);
  const temperature = find(TEMPERATURE, humidity < 0 ? [] : [humidity]);
  if (stamp.length === 0 && temperature < 0) return null;
  if (stamp.length === 0 || temperature < 0 || humidity < 0) {
    const lacking = [
      ...(stamp.length === 0 ? ['time'] : []),
      ...(temperature < 0 ? ['temperature'] : []),
      ...(humidity < 0 ? ['relative humidity'] : []),
    ];
    return {
      missing: `no column for ${lacking.join(' or ')} among: ${cells.map((c) => c.trim()).join(', ')}`,
    };
  }
  const temperatureName = names[temperature] ?? '';
  return {
    columns: {
      stamp,
      temperature,
      humidity,
      temperatureUnit: unitIn(temperatureName) ?? 'C',
      humidityIsShare: /\b(fraction|share|0\s*(-|–|\.\.|to)\s*1)\b/.test(names[humidity] ?? ''),
      offsetMinutes: offsetIn(stamp.map((i) => names[i]).join(' ')),
    },
  };
}

/** Columns of a file without a header: time (or date and time), then temperature, then humidity. */
export function columnsByOrder(cells: readonly string[]): Columns {
  const timeApart = /^\d{1,2}:\d{2}/.test((cells[1] ?? '').trim());
  const stamp = timeApart ? [0, 1] : [0];
  return {
    stamp,
    temperature: stamp.length,
    humidity: stamp.length + 1,
    temperatureUnit: 'C',
    humidityIsShare: false,
    offsetMinutes: null,
  };
}

/** A row of units below the header, like `;°F;%`. */
export function unitOfRow(cells: readonly string[], columns: Columns): TemperatureUnit | null {
  const unit = unitIn(plain(cells[columns.temperature] ?? ''));
  return /\d/.test(cells[columns.temperature] ?? '') ? null : unit;
}

function stampColumns(names: readonly string[]): number[] {
  const whole = names.findIndex((name) => STAMP.test(name));
  if (whole >= 0) return [whole];
  const date = names.findIndex((name) => DATE_ONLY.test(name));
  const time = names.findIndex((name, i) => i !== date && TIME_ONLY.test(name));
  return [date, time].filter((i) => i >= 0);
}

function unitIn(name: string): TemperatureUnit | null {
  if (/(°|º|deg(rees)?[\s_.]*|[\s_([])f\b|fahrenheit|^f$/.test(name)) return 'F';
  if (/\(k\)|\[k\]|kelvin|^k$/.test(name)) return 'K';
  if (/(°|º|deg(rees)?[\s_.]*|[\s_([])c\b|celsius|^c$/.test(name)) return 'C';
  return null;
}

/** `GMT+01:00`, `UTC-5`, `UTC`, `Z` in a column's name. */
function offsetIn(name: string): number | null {
  const match = /\b(?:gmt|utc)\s*(?:([+-])\s*(\d{1,2})(?::?(\d{2}))?)?/.exec(name);
  if (!match) return null;
  const [, sign, hours = '0', minutes = '0'] = match;
  return (sign === '-' ? -1 : 1) * (Number(hours) * 60 + Number(minutes));
}
