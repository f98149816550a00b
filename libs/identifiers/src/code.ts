/**
 * The short code printed on a cask, a rack position, a sample bottle or a vat.
 *
 *     C 00006E 4          kind letter, six characters of serial, check character
 *
 * All eight characters come from Crockford's base 32 alphabet, which has no I, L, O or U, so a person who
 * reads O for 0 or l for 1 is understood. The check character is ISO/IEC 7064 MOD 37-2 over the
 * seven before it. That system can ask for I, L, O, U or `*`; for any first six characters at most
 * five of the 32 possible seventh ones do so, which leaves 27 always: the last serial character
 * therefore counts in 27s through those that give a printable check character. Every serial has exactly
 * one code, no table is kept and none is skipped.
 */
import { checkCharacter } from './check-character.ts';

/** Crockford's base 32 alphabet, published at crockford.com/base32.html. */
export const CODE_ALPHABET = '0123456789ABCDEFGHJKMNPQRSTVWXYZ';
export const CODE_LENGTH = 8;

/** Kind letters are part of what the check character covers: a P misread as C is noticed. */
const LETTERS = { cask: 'C', position: 'P', sample: 'S', vat: 'V' } as const;
export type CodeKind = keyof typeof LETTERS;
export const CODE_KINDS = Object.keys(LETTERS) as readonly CodeKind[];

const LEADING_DIGITS = 5;
const LAST_DIGIT_CHOICES = 27;
/** One more than the largest serial: 905 969 664. */
export const CODE_CAPACITY = CODE_ALPHABET.length ** LEADING_DIGITS * LAST_DIGIT_CHOICES;

export type CodeCheck =
  | { status: 'ok'; kind: CodeKind; code: string; serial: number }
  | { status: 'wrong-check-character'; kind: CodeKind; code: string }
  /** The check character is right, but this program never makes that serial: mostly a misreading. */
  | { status: 'never-made'; kind: CodeKind; code: string }
  | { status: 'wrong-length'; code: string; length: number }
  | { status: 'wrong-character'; code: string; character: string }
  | { status: 'unknown-kind'; code: string; letter: string };

export type CaskCodeCheck =
  | { status: 'ok'; code: string; serial: number }
  | { status: 'other-kind'; kind: CodeKind; code: string }
  | Exclude<CodeCheck, { status: 'ok' }>;

/** The code of the `serial`-th thing of a kind; serials are whole numbers from 0 to 905 969 663. */
export function makeCode(kind: CodeKind, serial: number): string {
  if (!Number.isInteger(serial) || serial < 0 || serial >= CODE_CAPACITY)
    throw new RangeError(
      `serial is ${serial}; it must be a whole number from 0 to ${CODE_CAPACITY - 1}.`,
    );
  const stem = LETTERS[kind] + leadingDigits(Math.floor(serial / LAST_DIGIT_CHOICES));
  const last = lastDigits(stem)[serial % LAST_DIGIT_CHOICES] as string;
  return stem + last + checkCharacter(stem + last);
}

export const makeCaskCode = (serial: number): string => makeCode('cask', serial);
export const makePositionCode = (serial: number): string => makeCode('position', serial);
export const makeSampleCode = (serial: number): string => makeCode('sample', serial);
export const makeVatCode = (serial: number): string => makeCode('vat', serial);

/** Judges one code as typed or read: case, O for 0, I or L for 1, spaces and hyphens do not matter. */
export function checkCode(text: string): CodeCheck {
  const code = normaliseCode(text);
  for (const character of code)
    if (!CODE_ALPHABET.includes(character)) return { status: 'wrong-character', code, character };
  if (code.length !== CODE_LENGTH) return { status: 'wrong-length', code, length: code.length };
  const letter = code.charAt(0);
  const kind = CODE_KINDS.find((candidate) => LETTERS[candidate] === letter);
  if (kind === undefined) return { status: 'unknown-kind', code, letter };
  if (checkCharacter(code.slice(0, -1)) !== code.slice(-1))
    return { status: 'wrong-check-character', kind, code };
  const serial = serialOf(code);
  return serial === undefined
    ? { status: 'never-made', kind, code }
    : { status: 'ok', kind, code, serial };
}

/** As {@link checkCode}, for a place where only a cask will do. */
export function checkCaskCode(text: string): CaskCodeCheck {
  const check = checkCode(text);
  if (check.status !== 'ok') return check;
  if (check.kind !== 'cask') return { status: 'other-kind', kind: check.kind, code: check.code };
  return { status: 'ok', code: check.code, serial: check.serial };
}

/** Upper case, no spaces or hyphens, O → 0, I and L → 1 (Crockford's decoding rules). Judges nothing. */
export function normaliseCode(text: string): string {
  return text
    .toUpperCase()
    .replace(/[\s\u00a0\u2009\u202f-]/g, '')
    .replace(/O/g, '0')
    .replace(/[IL]/g, '1');
}

/** The code as people read it aloud: two groups of four, `C000-06E4`. */
export function displayCode(code: string): string {
  return code.length === CODE_LENGTH ? `${code.slice(0, 4)}-${code.slice(4)}` : code;
}

function leadingDigits(value: number): string {
  let rest = value;
  let digits = '';
  for (let place = 0; place < LEADING_DIGITS; place++) {
    digits = CODE_ALPHABET.charAt(rest % 32) + digits;
    rest = Math.floor(rest / 32);
  }
  return digits;
}

/** The 27 characters that may end the serial after `stem`. */
function lastDigits(stem: string): string[] {
  return [...CODE_ALPHABET]
    .filter((last) => CODE_ALPHABET.includes(checkCharacter(stem + last)))
    .slice(0, LAST_DIGIT_CHOICES);
}

function serialOf(code: string): number | undefined {
  const stem = code.slice(0, 1 + LEADING_DIGITS);
  let leading = 0;
  for (const digit of stem.slice(1)) leading = leading * 32 + CODE_ALPHABET.indexOf(digit);
  const last = lastDigits(stem).indexOf(code.charAt(1 + LEADING_DIGITS));
  return last < 0 ? undefined : leading * LAST_DIGIT_CHOICES + last;
}
