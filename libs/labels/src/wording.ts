/**
 * The little language of label texts: `{caskCode}` a field, `{fillStrengthPercentVol:1}` a number with that many decimals,
 * `{filledOn:date}` a date, `{caskCode:grouped}` a code in fours, `{@filled}` a word in the label's language. Other text stands
 * for itself; `{{` and `}}` are braces.
 */
import type { Fields } from './fields.ts';

export type Part =
  | { kind: 'plain'; text: string }
  | { kind: 'word'; name: string }
  | { kind: 'field'; name: string; format: string };

const FORMATS = /^(?:|date|grouped|upper|[0-6])$/;

/** Splits a text; throws RangeError for an unbalanced brace or an unknown format. */
export function parseWording(text: string): readonly Part[] {
  const parts: Part[] = [];
  for (const match of text.matchAll(/\{\{|\}\}|\{([^{}]*)\}|[^{}]+|[{}]/g)) {
    const [whole, inside] = match;
    if (whole === '{' || whole === '}')
      throw new RangeError(`"${text}" has an unbalanced brace; a brace itself is written twice.`);
    if (inside === undefined)
      parts.push({ kind: 'plain', text: whole.replace(/^([{}])\1$/, '$1') });
    else if (inside.startsWith('@')) parts.push({ kind: 'word', name: inside.slice(1) });
    else {
      const [name = '', format = ''] = inside.split(':');
      if (!FORMATS.test(format))
        throw new RangeError(
          `"{${inside}}": a format is date, grouped, upper, or a number of decimals from 0 to 6.`,
        );
      parts.push({ kind: 'field', name, format });
    }
  }
  return parts;
}

export interface Vocabulary {
  readonly language: string;
  readonly words: Readonly<Record<string, string>>;
}

/** The parts of {@link parseWording} with fields put in, or undefined when one has no value: the item is then left out. */
export function fillWording(
  parts: readonly Part[],
  fields: Fields,
  vocabulary: Vocabulary,
): string | undefined {
  let filled = '';
  for (const part of parts) {
    const value =
      part.kind === 'plain'
        ? part.text
        : part.kind === 'word'
          ? vocabulary.words[part.name]
          : formatField(part, fields, vocabulary.language);
    if (value === undefined) return undefined;
    filled += value;
  }
  return filled;
}

function formatField(
  { name, format }: Part & { kind: 'field' },
  fields: Fields,
  language: string,
): string | undefined {
  const value = fields[name];
  if (value === undefined || value === '') return undefined;
  if (format === 'date') return formatDate(name, String(value), language);
  if (format === 'grouped') return String(value).replace(/(.{4})(?=.)/g, '$1-');
  if (format === 'upper') return String(value).toLocaleUpperCase(language);
  if (typeof value !== 'number') return String(value);
  if (!Number.isFinite(value))
    throw new RangeError(`${name} is ${value}; a label prints finite numbers only.`);
  return numberFormat(language, format).format(value);
}

/** `2026-03-14` (or an instant that starts so) as the language writes it, month by name: no day can be taken for a month. */
function formatDate(name: string, value: string, language: string): string {
  const parts = /^(\d{4})-(\d{2})-(\d{2})(?:T|$)/.exec(value);
  const time = parts ? Date.UTC(Number(parts[1]), Number(parts[2]) - 1, Number(parts[3])) : NaN;
  if (Number.isNaN(time))
    throw new RangeError(`${name} is "${value}"; a label needs a date as 2026-03-14.`);
  return dateFormat(language).format(time);
}

const numberFormat = remembered((language, decimals) => {
  const fixed =
    decimals === ''
      ? {}
      : { minimumFractionDigits: Number(decimals), maximumFractionDigits: Number(decimals) };
  return new Intl.NumberFormat(language, { useGrouping: false, ...fixed });
});

const dateFormat = remembered((language) => {
  const options = { day: 'numeric', month: 'short', year: 'numeric', timeZone: 'UTC' } as const;
  // Plain English is written day first here; `en-US` has its own order.
  return new Intl.DateTimeFormat(language === 'en' ? 'en-GB' : language, options);
});

/** Making a formatter costs more than a hundred uses of it. */
function remembered<T>(make: (language: string, detail: string) => T) {
  const known = new Map<string, T>();
  return (language: string, detail = ''): T => {
    const key = `${language} ${detail}`;
    const format = known.get(key) ?? make(language, detail);
    known.set(key, format);
    return format;
  };
}
