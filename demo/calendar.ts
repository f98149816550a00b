/** Days since 1970-01-01, UTC: what the demo reckons in. */
const DAY_MS = 86_400_000;

export const dayOf = (year: number, month: number, day: number): number =>
  Date.UTC(year, month - 1, day) / DAY_MS;

/** @throws RangeError unless `date` is an ISO date */
export function dayOfDate(date: string): number {
  const ms = /^\d{4}-\d\d-\d\d$/.test(date) ? Date.parse(`${date}T00:00:00.000Z`) : NaN;
  if (Number.isNaN(ms)) throw new RangeError(`"${date}" is not a date like 2026-03-01`);
  return ms / DAY_MS;
}

export const msOf = (day: number, hour = 0): number => day * DAY_MS + hour * 3_600_000;
export const instantOf = (ms: number): string => new Date(ms).toISOString();
export const dateOf = (day: number): string => instantOf(msOf(day)).slice(0, 10);
export const yearOf = (day: number): number => new Date(msOf(day)).getUTCFullYear();
/** Phase of the year, 0 at New Year to 1. */
export const yearPhase = (day: number): number => {
  const year = yearOf(day);
  return (day - dayOf(year, 1, 1)) / (dayOf(year + 1, 1, 1) - dayOf(year, 1, 1));
};
