/**
 * ISO/IEC 7064 MOD 37-2: one check character over `0-9A-Z`, with `*` as the 37th value.
 *
 * It was preferred to the hybrid MOD 37,36 because it is pure: every substitution of one character,
 * every swap of two neighbours and every swap across one place changes the answer. (The hybrid system lets a few
 * swaps pass.) Its price, a check character that may be `*`, is paid in code.ts, which
 * never makes such a code.
 */
const ALPHABET = '0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ*';
const MODULUS = 37;
const RADIX = 2;

/** The check character for `body`, `0-9A-Z` only. Throws RangeError for anything else. */
export function checkCharacter(body: string): string {
  if (body === '')
    throw new RangeError('A check character needs at least one character before it.');
  let remainder = 0;
  for (const character of body) {
    const value = ALPHABET.indexOf(character);
    if (value < 0 || value > 35)
      throw new RangeError(`"${character}" in "${body}" is not one of 0-9 and A-Z in upper case.`);
    remainder = ((remainder + value) * RADIX) % MODULUS;
  }
  return ALPHABET.charAt((MODULUS + 1 - remainder) % MODULUS);
}

/** Whether the last character of `text` is the right check character for what stands before it. */
export function hasRightCheckCharacter(text: string): boolean {
  if (!/^[0-9A-Z]+[0-9A-Z*]$/.test(text)) return false;
  return checkCharacter(text.slice(0, -1)) === text.slice(-1);
}
