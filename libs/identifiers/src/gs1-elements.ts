/** GS1 element strings: `(8004)9521321C0000173` as people write them, `8004…<GS>10…` as symbols carry them. */
import {
  fault,
  findApplicationIdentifier,
  leadingApplicationIdentifier,
} from './gs1-dictionary.ts';

export interface Element {
  readonly ai: string;
  readonly value: string;
}

export type ElementsResult =
  { status: 'ok'; elements: readonly Element[] } | { status: 'fault'; reason: string };

/** The group separator that FNC1 is read as. */
export const GS = '\u001d';

/** Reads either form. A missing separator after a variable-length value cannot be seen: the value then takes the rest. */
export function parseElements(text: string): ElementsResult {
  return text.startsWith('(') ? parseBracketed(text) : parseUnbracketed(text);
}

/** `(ai)value(ai)value`. */
export const bracketed = (elements: readonly Element[]): string =>
  elements.map(({ ai, value }) => `(${ai})${value}`).join('');

function parseBracketed(text: string): ElementsResult {
  const elements: Element[] = [];
  // A value may itself hold brackets; it ends only where the next known AI stands in brackets.
  const parts = text.split(/\((\d{2,4})\)/);
  if (parts[0] !== '') return { status: 'fault', reason: `"${text}" does not start with (AI).` };
  for (let index = 1; index < parts.length; index += 2) {
    const ai = parts[index] as string;
    const value = (parts[index + 1] as string).replace(new RegExp(`${GS}+$`), '');
    const row = findApplicationIdentifier(ai);
    if (!row) return { status: 'fault', reason: `Application identifier (${ai}) is not known.` };
    const wrong = fault(row, value);
    if (wrong !== undefined) return { status: 'fault', reason: wrong };
    elements.push({ ai, value });
  }
  return elements.length > 0
    ? { status: 'ok', elements }
    : { status: 'fault', reason: `"${text}" holds no (AI).` };
}

function parseUnbracketed(text: string): ElementsResult {
  const elements: Element[] = [];
  let rest = text.replace(new RegExp(`^${GS}+`), '');
  while (rest !== '') {
    const row = leadingApplicationIdentifier(rest);
    if (!row)
      return { status: 'fault', reason: `"${rest}" starts with no known application identifier.` };
    const data = rest.slice(row.ai.length);
    const stop = data.indexOf(GS);
    const fixed = row.minLength === row.maxLength;
    const end = fixed ? Math.min(row.maxLength, data.length) : stop < 0 ? data.length : stop;
    const value = data.slice(0, end);
    const wrong = fault(row, value);
    if (wrong !== undefined) return { status: 'fault', reason: wrong };
    elements.push({ ai: row.ai, value });
    rest = data.slice(end).replace(new RegExp(`^${GS}+`), '');
  }
  return elements.length > 0
    ? { status: 'ok', elements }
    : { status: 'fault', reason: 'There is nothing to read.' };
}
