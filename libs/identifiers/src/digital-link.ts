/**
 * GS1 Digital Link URIs: `https://host/stem/8004/<GIAI>?attributes`. The behaviour follows the published
 * unit tests of the GS1 Barcode Syntax Engine (github.com/gs1/gs1-syntax-engine, src/c-lib/dl.c).
 */
import { fault, findApplicationIdentifier } from './gs1-dictionary.ts';
import type { Element } from './gs1-elements.ts';

export type DigitalLinkResult =
  | {
      status: 'ok';
      /** Scheme and host as written. */
      origin: string;
      stem: string;
      primary: Element;
      /** The key first, then qualifiers, then attributes. */
      elements: readonly Element[];
    }
  | { status: 'fault'; reason: string };

/** The Digital Link of `elements` under `base` (an origin, with or without a stem). Throws RangeError when there is none. */
export function buildDigitalLink(base: string, elements: readonly Element[]): string {
  const primary = elements.find(({ ai }) => findApplicationIdentifier(ai)?.qualifiers);
  const chains = primary && findApplicationIdentifier(primary.ai)?.qualifiers;
  if (!primary || !chains)
    throw new RangeError('A Digital Link needs a GS1 key (SSCC, GTIN, GRAI, GIAI or GLN) in it.');
  for (const { ai, value } of elements) {
    const row = findApplicationIdentifier(ai);
    const wrong = row ? fault(row, value) : `Application identifier (${ai}) is not known.`;
    if (wrong !== undefined) throw new RangeError(wrong);
  }
  const others = elements.filter((element) => element !== primary);
  const isQualifier = ({ ai }: Element): boolean => chains.some((chain) => chain.includes(ai));
  const qualifiers = others.filter(isQualifier);
  const chain = chains.find((order) => qualifiers.every(({ ai }) => order.includes(ai)));
  if (!chain)
    throw new RangeError(
      `(${qualifiers.map(({ ai }) => ai).join('), (')}) cannot qualify one (${primary.ai}) together.`,
    );
  const attributes = others.filter((element) => !isQualifier(element));
  const misplaced = attributes.find(({ ai }) => !findApplicationIdentifier(ai)?.attribute);
  if (misplaced)
    throw new RangeError(`(${misplaced.ai}) may not accompany (${primary.ai}) in a Digital Link.`);
  const inOrder = qualifiers.toSorted((a, b) => chain.indexOf(a.ai) - chain.indexOf(b.ai));
  const path = [primary, ...inOrder].map(({ ai, value }) => `/${ai}/${encode(value)}`).join('');
  const query = attributes.map(({ ai, value }) => `${ai}=${encode(value)}`).join('&');
  return base.replace(/\/$/, '') + path + (query === '' ? '' : `?${query}`);
}

/** The same link on id.gs1.org, by which two links to one thing are compared. */
export const canonicalDigitalLink = (elements: readonly Element[]): string =>
  buildDigitalLink('https://id.gs1.org', elements);

export function parseDigitalLink(text: string): DigitalLinkResult {
  const no = (reason: string): DigitalLinkResult => ({ status: 'fault', reason });
  if (/[<>{}\\^`\s]/.test(text)) return no('It holds a character that no address may hold.');
  const parts = /^(https?:\/\/|HTTPS?:\/\/)([^/?#]+)(\/[^?#]*)(?:\?([^#]*))?(?:#.*)?$/.exec(text);
  if (!parts) return no('It is not http(s)://host/path.');
  const [, scheme = '', host = '', path = '', query = ''] = parts;
  const segments = path.slice(1).split('/');
  const start = keyPosition(segments);
  if (start === undefined) return no('No GS1 key stands in its path.');
  const elements: Element[] = [];
  const add = (ai: string, encoded: string): string | undefined => {
    const value = decode(encoded);
    if (value === undefined) return `"${encoded}" is not rightly percent-encoded.`;
    const row = findApplicationIdentifier(ai);
    if (!row) return `Application identifier (${ai}) is not known.`;
    const padded =
      ai === '01' && /^(\d{8}|\d{12,13})$/.test(value) ? value.padStart(14, '0') : value;
    elements.push({ ai, value: padded });
    return fault(row, padded);
  };
  for (let index = start; index < segments.length; index += 2) {
    const wrong = add(segments[index] as string, segments[index + 1] as string);
    if (wrong !== undefined) return no(wrong);
  }
  const chains = findApplicationIdentifier((elements[0] as Element).ai)?.qualifiers ?? [];
  const qualifiers = elements.slice(1).map(({ ai }) => ai);
  if (!chains.some((chain) => isInOrder(qualifiers, chain)))
    return no(`The qualifiers (${qualifiers.join('), (')}) do not follow one another so.`);
  for (const pair of query.split(/[&;]/)) {
    const [name = '', encoded = ''] = pair.split('=');
    if (!/^\d{2,4}$/.test(name)) continue; // other query parts are the host's own business
    const wrong = add(name, encoded);
    if (wrong !== undefined) return no(wrong);
  }
  return {
    status: 'ok',
    origin: scheme + host,
    stem: segments.slice(0, start).join('/'),
    primary: elements[0] as Element,
    elements,
  };
}

/** From the end in pairs, so that a stem that looks like an AI does no harm. */
function keyPosition(segments: readonly string[]): number | undefined {
  for (let index = segments.length - 2; index >= 0; index -= 2)
    if (findApplicationIdentifier(segments[index] as string)?.qualifiers) return index;
  return undefined;
}

function isInOrder(qualifiers: readonly string[], chain: readonly string[]): boolean {
  const places = qualifiers.map((ai) => chain.indexOf(ai));
  return places.every((place, index) => place > (places[index - 1] ?? -1));
}

const encode = (value: string): string =>
  encodeURIComponent(value).replace(
    /[!'()*]/g,
    (character) => `%${character.charCodeAt(0).toString(16).toUpperCase()}`,
  );

function decode(encoded: string): string | undefined {
  try {
    const value = decodeURIComponent(encoded);
    return value.includes('\0') ? undefined : value;
  } catch {
    return undefined;
  }
}
