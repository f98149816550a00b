/** One text from a camera, a hand scanner or a keyboard → the codes it may mean. */
import { checkCode, type CodeCheck, type CodeKind } from './code.ts';
import { parseDigitalLink } from './digital-link.ts';
import { GS, parseElements, type Element } from './gs1-elements.ts';
import { findApplicationIdentifier } from './gs1-dictionary.ts';
import { undoKeyboard } from './keyboard.ts';

export type Wrapping = 'bare' | 'address' | 'element-string' | 'reference-of-key';

export type Candidate =
  | { kind: CodeKind; code: string; wrapping: Wrapping; assumption?: string }
  | {
      kind: 'gs1';
      /** The key's value: the GIAI itself, for example. */
      code: string;
      /** The key's application identifier: 8004 for a GIAI. */
      ai: string;
      elements: readonly Element[];
      wrapping: Wrapping;
      assumption?: string;
    };

export type ScanProblem =
  | { kind: 'empty' }
  /** It has the shape of one of our codes; {@link nearestCodes} can say which was meant. */
  | { kind: 'wrong-check-character'; codeKind: CodeKind; code: string }
  | { kind: 'gs1-fault'; reason: string }
  /** The address is not one of the estate's own: an older label, or somebody else's. */
  | { kind: 'foreign-address'; origin: string }
  /** Only readable on the assumption that scanner and computer are set to different keyboards. */
  | { kind: 'keyboard'; assumption: string }
  /** Nothing of ours: perhaps a cooper's or owner's number, to be looked up as an alias by `text`. */
  | { kind: 'not-ours' };

export interface Scan {
  /** What was read, without wrapping characters: the text to look up among aliases. */
  readonly text: string;
  /**
   * Best first. What was read as it stands may be followed by codes of ours that a wrongly set keyboard would have
   * turned into it: those carry an `assumption`, count only when the ones before them are unknown, and deserve a question.
   */
  readonly candidates: readonly Candidate[];
  readonly problems: readonly ScanProblem[];
}

export interface ScanOptions {
  /** The estate's own addresses, past ones included; none given means that any address is taken for ours. */
  readonly origins?: readonly string[];
  /** The estate's GS1 company prefixes: behind one of them our own code may stand as the asset reference. */
  readonly companyPrefixes?: readonly string[];
}

/**
 * Reads an address, a bare code, `(8004)…`, `8004…`, either behind an AIM symbology identifier, with CR, LF, TAB, STX/ETX
 * around it, GS or what scanners send in its place, in either case, and through a wrongly set keyboard.
 */
export function parseScan(raw: string, options: ScanOptions = {}): Scan {
  const text = strip(raw);
  if (text === '') return { text, candidates: [], problems: [{ kind: 'empty' }] };
  const literal = recognise(text, options);
  const isOwn = ({ kind }: Candidate): boolean => kind !== 'gs1';
  if (literal.candidates.some((found) => isOwn(found) && found.wrapping !== 'bare'))
    return { text, ...literal };
  const readings = undoKeyboard(text)
    .map((reading) => ({ ...reading, ...recognise(strip(reading.text), options) }))
    .filter(({ candidates }) => candidates.length > 0);
  const guessed = readings.flatMap(({ assumption, candidates }) =>
    candidates.map((candidate) => ({ ...candidate, assumption })),
  );
  const best = readings[0];
  if (literal.candidates.length === 0 && best) {
    const keyboard = { kind: 'keyboard', assumption: best.assumption } as const;
    return { text, candidates: distinct(guessed), problems: [keyboard, ...best.problems] };
  }
  const candidates = distinct([...literal.candidates, ...guessed.filter(isOwn)]);
  return { text, candidates, problems: literal.problems };
}

interface Recognised {
  candidates: readonly Candidate[];
  problems: readonly ScanProblem[];
}

function recognise(text: string, options: ScanOptions): Recognised {
  if (/^https?:\/\//i.test(text)) return recogniseAddress(text, options);
  if (/^\(\d{2,4}\)/.test(text) || /^\d{6}/.test(text.replaceAll(GS, '')))
    return recogniseElements(text, options);
  const check = checkCode(text);
  if (check.status === 'ok') return one(check, 'bare');
  // What is left of an address whose punctuation was lost: our code at its very end.
  const tail = checkCode(/[^0-9A-Za-z]([0-9A-Za-z]{8})$/.exec(text)?.[1] ?? '');
  if (tail.status === 'ok') return one(tail, 'address');
  return { candidates: [], problems: [problemOf(check) ?? { kind: 'not-ours' }] };
}

function recogniseAddress(text: string, options: ScanOptions): Recognised {
  const address = text.replace(/^https?/i, (scheme) => scheme.toLowerCase());
  const origin = (/^https?:\/\/[^/?#]*/.exec(address)?.[0] ?? '').toLowerCase();
  const known = options.origins?.some((own) =>
    own.toLowerCase().replace(/\/$/, '').startsWith(origin),
  );
  const problems: ScanProblem[] = known === false ? [{ kind: 'foreign-address', origin }] : [];

  const link = parseDigitalLink(address);
  if (link.status === 'ok')
    return { candidates: keyCandidates(link.elements, 'address', options), problems };

  const segments = address
    .slice(origin.length)
    .split(/[/?#&=]/)
    .filter(Boolean);
  for (const [index, segment] of segments.entries()) {
    const check = checkCode(segment);
    if (check.status === 'ok') return { ...one(check, 'address'), problems };
    if (index > 0 && /^[cpsv]$/i.test(segments[index - 1] as string))
      problems.push(...[problemOf(check)].filter((problem) => problem !== undefined));
  }
  if (/\/(8003|8004)\//.test(address)) problems.push({ kind: 'gs1-fault', reason: link.reason });
  return { candidates: [], problems: problems.length > 0 ? problems : [{ kind: 'not-ours' }] };
}

function recogniseElements(text: string, options: ScanOptions): Recognised {
  const result = parseElements(text);
  if (result.status === 'ok') {
    const candidates = keyCandidates(result.elements, 'element-string', options);
    if (candidates.length > 0) return { candidates, problems: [] };
  }
  const reason = result.status === 'fault' ? result.reason : 'It names no asset, place or product.';
  const meant = text.startsWith(GS) || /^\(\d{2,4}\)/.test(text) || /^800[34]/.test(text);
  return {
    candidates: [],
    problems: [meant ? { kind: 'gs1-fault', reason } : { kind: 'not-ours' }],
  };
}

/** The key itself; in upper case too, in case CAPS LOCK turned it; and our own code where it is the key's reference. */
function keyCandidates(
  elements: readonly Element[],
  wrapping: Wrapping,
  options: ScanOptions,
): readonly Candidate[] {
  const key = elements.find(({ ai }) => findApplicationIdentifier(ai)?.qualifiers);
  if (!key) return [];
  const upper = key.value.toUpperCase();
  const values = upper === key.value ? [key.value] : [key.value, upper];
  const candidates: Candidate[] = values.map((value) => ({
    kind: 'gs1',
    code: value,
    ai: key.ai,
    elements: elements.map((element) => (element === key ? { ai: key.ai, value } : element)),
    wrapping,
  }));
  const reference = referenceOf(key, options.companyPrefixes ?? []);
  const check = reference === undefined ? undefined : checkCode(reference);
  if (check?.status === 'ok')
    candidates.push({ kind: check.kind, code: check.code, wrapping: 'reference-of-key' });
  return candidates;
}

function referenceOf(key: Element, prefixes: readonly string[]): string | undefined {
  if (key.ai === '8003')
    return prefixes.some((prefix) => key.value.startsWith(`0${prefix}`))
      ? key.value.slice(14)
      : undefined;
  if (key.ai !== '8004') return undefined;
  const prefix = prefixes.find((own) => key.value.startsWith(own));
  return prefix === undefined ? undefined : key.value.slice(prefix.length);
}

const one = (check: CodeCheck & { status: 'ok' }, wrapping: Wrapping): Recognised => ({
  candidates: [{ kind: check.kind, code: check.code, wrapping }],
  problems: [],
});

function problemOf(check: CodeCheck): ScanProblem | undefined {
  return check.status === 'wrong-check-character' || check.status === 'never-made'
    ? { kind: 'wrong-check-character', codeKind: check.kind, code: check.code }
    : undefined;
}

/** What scanners put around a text or inside it: line ends, framing, a byte order mark; and the shapes a GS arrives in. */
const AROUND = new Set([
  '\r',
  '\n',
  '\t',
  ' ',
  '\0',
  '\u0002',
  '\u0003',
  '\u0004',
  '\ufeff',
  '\u00a0',
]);
const GS_SHAPES = /<GS>|\{GS\}|\[GS\]|\^\]|\\x1d|\\u001d|\\F|\u241d|\u2194/gi;

/** Takes off what carriers add, an AIM symbology identifier such as `]C1` included. */
function strip(raw: string): string {
  let start = 0;
  let end = raw.length;
  while (start < end && AROUND.has(raw.charAt(start))) start++;
  while (end > start && AROUND.has(raw.charAt(end - 1))) end--;
  return raw
    .slice(start, end)
    .replace(GS_SHAPES, GS)
    .replace(/^\][A-Za-z][0-9A-Za-z](?=.)/, '');
}

function distinct(candidates: readonly Candidate[]): readonly Candidate[] {
  const seen = new Set<string>();
  return candidates.filter(({ kind, code }) => {
    const name = `${kind} ${code}`;
    if (seen.has(name)) return false;
    seen.add(name);
    return true;
  });
}
