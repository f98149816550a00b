/**
 * Days and months without a clock: civil dates of the proleptic Gregorian calendar as whole days
 * since 1970-01-01, by the usual era arithmetic (400 years = 146 097 days).
 */

const DAYS_PER_ERA = 146097;

/** Days since 1970-01-01 of a civil date; month 1–12. The caller has checked the date. */
export function dayFromCivil(year: number, month: number, day: number): number {
  const y = month <= 2 ? year - 1 : year;
  const era = Math.floor(y / 400);
  const yearOfEra = y - era * 400;
  const dayOfYear = Math.floor((153 * (month + (month > 2 ? -3 : 9)) + 2) / 5) + day - 1;
  const dayOfEra =
    yearOfEra * 365 + Math.floor(yearOfEra / 4) - Math.floor(yearOfEra / 100) + dayOfYear;
  return era * DAYS_PER_ERA + dayOfEra - 719468;
}

export interface CivilDate {
  year: number;
  month: number;
  day: number;
}

/** Civil date of a day number. */
export function civilFromDay(dayNumber: number): CivilDate {
  const shifted = Math.floor(dayNumber) + 719468;
  const era = Math.floor(shifted / DAYS_PER_ERA);
  const dayOfEra = shifted - era * DAYS_PER_ERA;
  const yearOfEra = Math.floor(
    (dayOfEra -
      Math.floor(dayOfEra / 1460) +
      Math.floor(dayOfEra / 36524) -
      Math.floor(dayOfEra / 146096)) /
      365,
  );
  const dayOfYear =
    dayOfEra - (365 * yearOfEra + Math.floor(yearOfEra / 4) - Math.floor(yearOfEra / 100));
  const shiftedMonth = Math.floor((5 * dayOfYear + 2) / 153);
  const month = shiftedMonth < 10 ? shiftedMonth + 3 : shiftedMonth - 9;
  return {
    year: yearOfEra + era * 400 + (month <= 2 ? 1 : 0),
    month,
    day: dayOfYear - Math.floor((153 * shiftedMonth + 2) / 5) + 1,
  };
}

const ISO_DAY = /^(\d{4})-(\d{2})-(\d{2})$/;

/**
 * Day number (days since 1970-01-01) of an ISO date.
 * @throws RangeError when `iso` is no calendar date written `YYYY-MM-DD`
 */
export function dayNumber(iso: string): number {
  const match = ISO_DAY.exec(iso.length > 10 ? iso.slice(0, 10) : iso);
  if (match) {
    const year = Number(match[1]);
    const month = Number(match[2]);
    const day = Number(match[3]);
    const result = dayFromCivil(year, month, day);
    const back = civilFromDay(result);
    if (back.year === year && back.month === month && back.day === day) return result;
  }
  throw new RangeError(`not a calendar date: "${iso}"; write YYYY-MM-DD`);
}

const two = (n: number): string => (n < 10 ? `0${String(n)}` : String(n));

/** ISO date of a day number. */
export function isoDate(day: number): string {
  const c = civilFromDay(day);
  return `${String(c.year).padStart(4, '0')}-${two(c.month)}-${two(c.day)}`;
}

/** Months since year 0: year × 12 + (month − 1). */
export function monthIndexOfDay(day: number): number {
  // a plan asks for every month of every cask: the mean month is at most one off
  const at = Math.floor((day - TABLED[0]!) / MEAN_MONTH_DAYS);
  if (at >= 1 && at < TABLED.length - 2) {
    return TABLE_FROM + (day < TABLED[at]! ? at - 1 : day >= TABLED[at + 1]! ? at + 1 : at);
  }
  const c = civilFromDay(day);
  return c.year * 12 + c.month - 1;
}

/** First day number of a month index. */
export function firstDayOfMonth(monthIndex: number): number {
  return TABLED[monthIndex - TABLE_FROM] ?? firstDayByEra(monthIndex);
}

function firstDayByEra(monthIndex: number): number {
  const year = Math.floor(monthIndex / 12);
  return dayFromCivil(year, monthIndex - year * 12 + 1, 1);
}

/** `YYYY-MM` of a month index. */
export function monthLabel(monthIndex: number): string {
  const year = Math.floor(monthIndex / 12);
  return `${String(year).padStart(4, '0')}-${two(monthIndex - year * 12 + 1)}`;
}

/**
 * Month index of `YYYY-MM`.
 * @throws RangeError when it is no month
 */
export function monthIndex(label: string): number {
  const match = /^(\d{4})-(\d{2})$/.exec(label);
  const month = Number(match?.[2]);
  if (!match || month < 1 || month > 12) {
    throw new RangeError(`not a month: "${label}"; write YYYY-MM`);
  }
  return Number(match[1]) * 12 + month - 1;
}

/** The same day `years` later; 29 February falls on 28 February of a common year. */
export function addYears(iso: string, years: number): string {
  const c = civilFromDay(dayNumber(iso));
  const last = firstDayOfMonth((c.year + years) * 12 + c.month) - 1;
  return isoDate(Math.min(dayFromCivil(c.year + years, c.month, 1) + c.day - 1, last));
}

const MEAN_MONTH_DAYS = DAYS_PER_ERA / 4800;
const TABLE_FROM = 1900 * 12;
/** first days of the months of 1900 to 2199 */
const TABLED = Int32Array.from({ length: 3600 }, (_, i) => firstDayByEra(TABLE_FROM + i));
