/** Figures and dates as people read them. Numbers use thin spaces between thousands and a decimal point. */
const formatters = new Map<number, Intl.NumberFormat>();

/** A number with a fixed count of decimals; a dash for what is not known. */
export function number(value: number | null | undefined, decimals = 0): string {
  if (value === null || value === undefined || !Number.isFinite(value)) return '–';
  let format = formatters.get(decimals);
  if (!format) {
    format = new Intl.NumberFormat('en-GB', {
      minimumFractionDigits: decimals,
      maximumFractionDigits: decimals,
    });
    formatters.set(decimals, format);
  }
  return format.format(value).replaceAll(',', '\u202f').replace('-', '−');
}

const unit = (value: string, name: string): string =>
  value === '–' ? value : `${value}\u00a0${name}`;

/** Litres at 20 °C: tenths below 10 000 L, whole above. */
export const litres = (value: number | null | undefined, decimals?: number): string =>
  unit(number(value, decimals ?? (Math.abs(value ?? 0) < 10_000 ? 1 : 0)), 'L');
export const strength = (value: number | null | undefined, decimals = 1): string =>
  unit(number(value, decimals), '% vol');
export const pureAlcohol = (value: number | null | undefined, decimals?: number): string =>
  unit(number(value, decimals ?? (Math.abs(value ?? 0) < 10_000 ? 1 : 0)), 'LPA');
export const kilograms = (value: number | null | undefined, decimals = 1): string =>
  unit(number(value, decimals), 'kg');
export const percent = (share: number | null | undefined, decimals = 1): string =>
  unit(number(share === null || share === undefined ? null : share * 100, decimals), '%');
/** Signed, for gains and losses. */
export function signed(value: number | null | undefined, decimals = 1): string {
  const text = number(value, decimals);
  return text === '–' || (value ?? 0) <= 0 ? text : `+${text}`;
}
export const years = (value: number | null | undefined, decimals = 1): string =>
  unit(number(value, decimals), value === 1 ? 'year' : 'years');

const day = new Intl.DateTimeFormat('en-GB', { day: 'numeric', month: 'short', year: 'numeric' });
const time = new Intl.DateTimeFormat('en-GB', { hour: '2-digit', minute: '2-digit' });

/** `3 Mar 2026`, in the reader's own time zone. */
export const date = (instant: string | null | undefined): string =>
  instant ? day.format(new Date(instant)) : '–';
export const dateTime = (instant: string | null | undefined): string =>
  instant ? `${day.format(new Date(instant))}, ${time.format(new Date(instant))}` : '–';
export const clock = (instant: string | null | undefined): string =>
  instant ? time.format(new Date(instant)) : '–';

/** `1 cask`, `2 casks`. */
export const count = (n: number, one: string, many = `${one}s`): string =>
  `${number(n)} ${n === 1 ? one : many}`;

/** `first fill`, `second fill` …, as the trade says it. */
export function fillWords(fillNumber: number): string {
  const words = ['first', 'second', 'third', 'fourth', 'fifth', 'sixth'];
  return `${words[fillNumber - 1] ?? `${String(fillNumber)}th`} fill`;
}
