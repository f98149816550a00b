/**
 * GS1 identification keys: check digits and shapes. Lengths and character sets follow the GS1 Barcode
 * Syntax Dictionary (github.com/gs1/gs1-syntax-dictionary).
 *
 * A key needs a company prefix licensed from GS1. Nothing here makes one up: every maker takes the prefix from its caller.
 */

/** CSET 82 of the GS1 General Specifications. */
const CSET_82 = /^[!"%&'()*+,\-./0-9:;<=>?A-Z_a-z]*$/;

export type KeyCheck =
  | { status: 'ok'; value: string }
  | { status: 'wrong-check-digit'; value: string; expected: string }
  | { status: 'wrong-shape'; value: string; reason: string };

/** The mod 10 check digit for the digits before it (weights 3, 1, 3, 1 … from the right). */
export function gs1CheckDigit(body: string): string {
  if (!/^\d+$/.test(body)) throw new RangeError(`"${body}" must be digits only, and at least one.`);
  let sum = 0;
  for (let index = 0; index < body.length; index++)
    sum += Number(body.charAt(body.length - 1 - index)) * (index % 2 === 0 ? 3 : 1);
  return String((10 - (sum % 10)) % 10);
}

/** A GTIN of 8, 12, 13 or 14 digits. */
export const checkGtin = (text: string): KeyCheck => checkDigits(text, [8, 12, 13, 14], 'GTIN');
/** A global location number, 13 digits. */
export const checkGln = (text: string): KeyCheck => checkDigits(text, [13], 'GLN');
/** A serial shipping container code, 18 digits. */
export const checkSscc = (text: string): KeyCheck => checkDigits(text, [18], 'SSCC');

/** Global Individual Asset Identifier, AI 8004: a company prefix of 4 to 12 digits, then a reference; 30 at most. */
export function checkGiai(value: string): KeyCheck {
  if (value.length > 30)
    return wrong(value, `A GIAI has 30 characters at most, this has ${value.length}.`);
  if (!/^\d{4}./.test(value))
    return wrong(value, 'A GIAI starts with a company prefix (4 to 12 digits) and goes on.');
  if (!CSET_82.test(value)) return wrong(value, 'A GIAI holds only characters of GS1 CSET 82.');
  return { status: 'ok', value };
}

/** Global Returnable Asset Identifier, AI 8003: `0`, thirteen digits with their check digit, a serial of up to 16. */
export function checkGrai(value: string): KeyCheck {
  const parts = /^0(\d{13})(.*)$/.exec(value);
  if (!parts) return wrong(value, 'A GRAI is 0, then 13 digits, then an optional serial.');
  const [, type = '', serial = ''] = parts;
  if (serial.length > 16)
    return wrong(value, `A GRAI serial has 16 characters at most, this has ${serial.length}.`);
  if (!CSET_82.test(serial)) return wrong(value, 'A GRAI serial holds only GS1 CSET 82.');
  const expected = gs1CheckDigit(type.slice(0, -1));
  if (expected !== type.slice(-1)) return { status: 'wrong-check-digit', value, expected };
  return { status: 'ok', value };
}

/** The GIAI of an asset of the company that holds `companyPrefix`. */
export function makeGiai(companyPrefix: string, reference: string): string {
  checkPrefix(companyPrefix);
  const check = checkGiai(companyPrefix + reference);
  if (reference === '' || check.status !== 'ok')
    throw new RangeError(
      `"${reference}" cannot be the asset reference after ${companyPrefix}: ` +
        (check.status === 'wrong-shape' ? check.reason : 'it is empty.'),
    );
  return check.value;
}

/** The GRAI of one numbered asset of a type: prefix and type number together are 12 digits, without the check digit. */
export function makeGrai(companyPrefix: string, assetType: string, serial: string): string {
  checkPrefix(companyPrefix);
  const type = companyPrefix + assetType;
  if (!/^\d{12}$/.test(type))
    throw new RangeError(`Prefix and asset type are "${type}"; together they must be 12 digits.`);
  const check = checkGrai(`0${type}${gs1CheckDigit(type)}${serial}`);
  if (check.status !== 'ok')
    throw new RangeError(`"${serial}" cannot be a GRAI serial: up to 16 characters of CSET 82.`);
  return check.value;
}

function checkPrefix(companyPrefix: string): void {
  if (!/^\d{4,12}$/.test(companyPrefix))
    throw new RangeError(
      `"${companyPrefix}" is not a GS1 company prefix: 4 to 12 digits, licensed from GS1.`,
    );
}

function checkDigits(text: string, lengths: readonly number[], name: string): KeyCheck {
  if (!/^\d+$/.test(text) || !lengths.includes(text.length))
    return wrong(text, `A ${name} has ${lengths.join(', ')} digits and nothing else.`);
  const expected = gs1CheckDigit(text.slice(0, -1));
  return expected === text.slice(-1)
    ? { status: 'ok', value: text }
    : { status: 'wrong-check-digit', value: text, expected };
}

const wrong = (value: string, reason: string): KeyCheck => ({
  status: 'wrong-shape',
  value,
  reason,
});
