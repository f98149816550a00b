import fc from 'fast-check';
import { expect, test } from 'vitest';
import {
  CODE_ALPHABET,
  CODE_CAPACITY,
  CODE_KINDS,
  checkCaskCode,
  checkCode,
  displayCode,
  makeCaskCode,
  makeCode,
  normaliseCode,
} from './code.ts';

const serial = fc.integer({ min: 0, max: CODE_CAPACITY - 1 });
const kind = fc.constantFrom(...CODE_KINDS);

// Crockford, "Base 32", crockford.com/base32.html: the symbol table; I, L and O decode as 1, 1 and 0; U is left out.
test('the alphabet and its forgiveness are those Crockford published', () => {
  expect(CODE_ALPHABET).toBe('0123456789ABCDEFGHJKMNPQRSTVWXYZ');
  expect(normaliseCode('La5')).toBe('1A5'); // normalisation example of the base32-crockford package
  expect(normaliseCode('oO-iI lL')).toBe('001111');
});

test('every code is eight characters of the alphabet and comes back to its serial', () => {
  fc.assert(
    fc.property(kind, serial, (k, n) => {
      const code = makeCode(k, n);
      expect([...code].every((character) => CODE_ALPHABET.includes(character))).toBe(true);
      expect(checkCode(code)).toEqual({ status: 'ok', kind: k, code, serial: n });
    }),
  );
});

test('ten thousand serials in a row give ten thousand codes', () => {
  const codes = new Set(Array.from({ length: 10_000 }, (_, n) => makeCaskCode(n)));
  expect(codes.size).toBe(10_000);
});

test('one changed character is always noticed', () => {
  fc.assert(
    fc.property(serial, fc.nat(7), fc.constantFrom(...CODE_ALPHABET), (n, place, other) => {
      const code = makeCaskCode(n);
      fc.pre(code[place] !== other);
      const damaged = code.slice(0, place) + other + code.slice(place + 1);
      expect(checkCode(damaged).status).not.toBe('ok');
    }),
  );
});

test('swapped characters, next to each other or with one between, are always noticed', () => {
  fc.assert(
    fc.property(serial, fc.nat(6), fc.constantFrom(1, 2), (n, place, reach) => {
      const code = [...makeCaskCode(n)];
      fc.pre(place + reach < code.length && code[place] !== code[place + reach]);
      [code[place], code[place + reach]] = [code[place + reach] as string, code[place] as string];
      expect(checkCode(code.join('')).status).not.toBe('ok');
    }),
  );
});

test('case, hyphens, spaces and look-alikes do not matter', () => {
  const code = makeCaskCode(1_000_001);
  const sloppy = displayCode(code).toLowerCase().replaceAll('0', 'o').replaceAll('1', 'l');
  expect(checkCode(` ${sloppy} `)).toMatchObject({ status: 'ok', code, serial: 1_000_001 });
});

test('says what is wrong', () => {
  const code = makeCaskCode(173);
  const wrong = code.slice(0, -1) + (code.endsWith('7') ? '8' : '7');
  expect(checkCaskCode(wrong)).toEqual({
    status: 'wrong-check-character',
    kind: 'cask',
    code: wrong,
  });
  expect(checkCaskCode(makeCode('vat', 1))).toMatchObject({ status: 'other-kind', kind: 'vat' });
  expect(checkCode('C0001')).toMatchObject({ status: 'wrong-length', length: 5 });
  expect(checkCode('C00U0001')).toMatchObject({ status: 'wrong-character', character: 'U' });
  expect(checkCode('X0000001')).toMatchObject({ status: 'unknown-kind', letter: 'X' });
});

test.each([-1, 0.5, CODE_CAPACITY, Number.NaN])('refuses serial %d', (n) => {
  expect(() => makeCaskCode(n)).toThrow(RangeError);
});
