import { expect, test } from 'vitest';
import { checkCharacter, hasRightCheckCharacter } from './check-character.ts';

// ISO/IEC 7064 MOD 37-2 as used by ISBT 128 donation numbers; both strings are doctests of python-stdnum's iso7064.mod_37_2.
test.each([
  ['G123489654321', 'Y'],
  ['G123498654321', 'H'],
])('the MOD 37-2 check character of %s is %s', (body, expected) => {
  expect(checkCharacter(body)).toBe(expected);
  expect(hasRightCheckCharacter(body + expected)).toBe(true);
  expect(hasRightCheckCharacter(`${body}A`)).toBe(false);
});

test.each(['', 'c000173', 'C000*', 'Ç'])('refuses %o', (body) => {
  expect(() => checkCharacter(body)).toThrow(RangeError);
});
