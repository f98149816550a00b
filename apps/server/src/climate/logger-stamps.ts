/** Reading the stamps of a logger's file: ISO, local ways of writing dates, spreadsheet days. */

/** A stamp as written: what the clock on the wall said, or an instant when it carries an offset. */
export type Stamp =
  | { readonly kind: 'instant'; readonly ms: number }
  /** Milliseconds as if the wall clock were UTC. */
  | { readonly kind: 'wall'; readonly ms: number };

export type DayOrder = 'day-first' | 'month-first';

const ISO =
  /^(\d{4})[-/.](\d{1,2})[-/.](\d{1,2})(?:[T\s]+(\d{1,2}):(\d{2})(?::(\d{2})(?:[.,]\d+)?)?\s*([ap]\.?m\.?)?\s*(z|utc|gmt|[+-]\d{2}:?\d{2})?)?$/i;
const LOCAL =
  /^(\d{1,2})[-/.](\d{1,2})[-/.](\d{2}|\d{4})(?:,?\s+(\d{1,2}):(\d{2})(?::(\d{2})(?:[.,]\d+)?)?\s*([ap]\.?m\.?)?\s*(z|utc|gmt|[+-]\d{2}:?\d{2})?)?$/i;
/** Days since 1899-12-30, as spreadsheets count; 20 000 is 1954, 80 000 is 2119. */
const SPREADSHEET = /^\d{5}(?:[.,]\d+)?$/;
const EPOCH = /^\d{10}(?:\d{3})?$/;
const SPREADSHEET_ZERO = Date.UTC(1899, 11, 30);
const DAY_MS = 86_400_000;

/** @returns null when the text is no stamp */
export function readStamp(text: string, order: DayOrder): Stamp | null {
  const written = text.trim();
  const iso = ISO.exec(written);
  if (iso) return build(iso[1], iso[2], iso[3], iso.slice(4));
  const local = LOCAL.exec(written);
  if (local) {
    const [, first, second, year = ''] = local;
    const [day, month] = order === 'day-first' ? [first, second] : [second, first];
    return build(year.length === 2 ? `20${year}` : year, month, day, local.slice(4));
  }
  if (EPOCH.test(written))
    return { kind: 'instant', ms: Number(written) * (written.length === 10 ? 1000 : 1) };
  if (SPREADSHEET.test(written)) {
    const days = Number(written.replace(',', '.'));
    return { kind: 'wall', ms: SPREADSHEET_ZERO + Math.round(days * 86_400) * 1000 };
  }
  return null;
}

/**
 * Whether 03/04/2026 means the third of April or the fourth of March: what the numbers allow, else what keeps the stamps
 * in order, else day first. `sure` is false in the last case.
 */
export function dayOrderOf(stamps: readonly string[]): { order: DayOrder; sure: boolean } {
  let dayFirst = true;
  let monthFirst = true;
  let local = false;
  for (const text of stamps) {
    const match = LOCAL.exec(text.trim());
    if (!match) continue;
    local = true;
    if (Number(match[1]) > 12) monthFirst = false;
    if (Number(match[2]) > 12) dayFirst = false;
  }
  if (!local || dayFirst !== monthFirst)
    return { order: dayFirst ? 'day-first' : 'month-first', sure: true };
  const steps = {
    'day-first': backSteps(stamps, 'day-first'),
    'month-first': backSteps(stamps, 'month-first'),
  };
  if (steps['day-first'] === steps['month-first']) return { order: 'day-first', sure: false };
  return {
    order: steps['day-first'] < steps['month-first'] ? 'day-first' : 'month-first',
    sure: true,
  };
}

/** How jumpy the series is when read this way: steps back, and steps over more than three weeks. */
function backSteps(stamps: readonly string[], order: DayOrder): number {
  let count = 0;
  let before: number | null = null;
  for (const text of stamps) {
    const stamp = readStamp(text, order);
    if (!stamp) continue;
    if (before !== null && (stamp.ms < before || stamp.ms - before > 21 * DAY_MS)) count++;
    before = stamp.ms;
  }
  return count;
}

function build(
  year: string | undefined,
  month: string | undefined,
  day: string | undefined,
  rest: readonly (string | undefined)[],
): Stamp | null {
  const [hourText, minute = '0', second = '0', half, zone] = rest;
  let hour = Number(hourText ?? 12);
  if (half) hour = (hour % 12) + (/^p/i.test(half) ? 12 : 0);
  const [y, mo, d, mi, s] = [year, month, day, minute, second].map(Number) as [
    number,
    number,
    number,
    number,
    number,
  ];
  const ms = Date.UTC(y, mo - 1, d, hour, mi, s);
  const back = new Date(ms);
  if (back.getUTCMonth() !== mo - 1 || back.getUTCDate() !== d) {
    // 24:00 is the next day's midnight; anything else that rolls over is no date.
    if (!(hour === 24 && mi === 0 && s === 0)) return null;
  }
  if (hour > 24 || mi > 59 || s > 60 || mo < 1 || mo > 12) return null;
  if (!zone) return { kind: 'wall', ms };
  const offset = /^([+-])(\d{2}):?(\d{2})$/.exec(zone);
  const minutes = offset
    ? (offset[1] === '-' ? -1 : 1) * (Number(offset[2]) * 60 + Number(offset[3]))
    : 0;
  return { kind: 'instant', ms: ms - minutes * 60_000 };
}
