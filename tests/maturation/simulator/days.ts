/** Dates by the platform's calendar, so that the library's own calendar is not its own witness. */
const DAY = 86400000;
export const dayNumber = (iso: string): number => Math.round(Date.parse(`${iso}T00:00:00Z`) / DAY);
export const isoDate = (day: number): string => new Date(day * DAY).toISOString().slice(0, 10);
export const addYears = (iso: string, years: number): string => {
  const [y, m, d] = iso.split('-').map(Number) as [number, number, number];
  const last = new Date(Date.UTC(y + years, m, 0)).getUTCDate();
  return isoDate(Math.round(Date.UTC(y + years, m - 1, Math.min(d, last)) / DAY));
};
