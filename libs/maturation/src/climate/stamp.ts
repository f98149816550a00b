import { dayFromCivil, isoDate } from '../calendar.ts';

const STAMP =
  /^(\d{4})-(\d{2})-(\d{2})(?:[T ](\d{2}):(\d{2})(?::(\d{2})(?:\.\d+)?)?\s*(Z|[+-]\d{2}:?\d{2})?)?$/;
const MONTH_DAYS = [31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31] as const;

/**
 * Minutes since 1970-01-01 00:00 on the logger's own wall clock, or null when `at` is no ISO date or
 * date-time. An offset is read but not applied: days are the store's days.
 */
export function wallMinutes(at: string): number | null {
  const m = STAMP.exec(at.trim());
  if (!m) return null;
  const year = Number(m[1]);
  const month = Number(m[2]);
  const day = Number(m[3]);
  const hour = Number(m[4] ?? 0);
  const minute = Number(m[5] ?? 0);
  const leap = month === 2 && year % 4 === 0 && (year % 100 !== 0 || year % 400 === 0) ? 1 : 0;
  if (month < 1 || month > 12 || day < 1 || day > MONTH_DAYS[month - 1]! + leap) return null;
  if (hour > 24 || minute > 59) return null;
  return dayFromCivil(year, month, day) * 1440 + hour * 60 + minute;
}

export const dayOfMinutes = (minutes: number): number => Math.floor(minutes / 1440);

/** `YYYY-MM-DD` or, off midnight, `YYYY-MM-DDTHH:MM`. */
export function labelOfMinutes(minutes: number): string {
  const day = dayOfMinutes(minutes);
  const rest = minutes - day * 1440;
  if (rest === 0) return isoDate(day);
  const two = (n: number): string => String(n).padStart(2, '0');
  return `${isoDate(day)}T${two(Math.floor(rest / 60))}:${two(rest % 60)}`;
}
