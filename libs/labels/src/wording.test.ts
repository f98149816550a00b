import { expect, test } from 'vitest';
import { fillWording, parseWording } from './wording.ts';

const english = { language: 'en', words: { filled: 'Filled' } };
const fill = (text: string, fields = {}, vocabulary = english): string | undefined =>
  fillWording(parseWording(text), fields, vocabulary);

test('fields, words, braces', () => {
  expect(fill('{@filled} {{{a}}} / {b}', { a: 'x', b: 7 })).toBe('Filled {x} / 7');
  expect(parseWording('plain')).toEqual([{ kind: 'plain', text: 'plain' }]);
});

test('a field without a value leaves the whole text out', () => {
  expect(fill('Lot {spiritLot}', {})).toBeUndefined();
  expect(fill('Lot {spiritLot}', { spiritLot: '' })).toBeUndefined();
  expect(fill('Lot {spiritLot}', { spiritLot: 0 })).toBe('Lot 0');
});

// Month names and order as in Unicode CLDR for each language.
test.each([
  ['en', '14 Mar 2026'],
  ['en-US', 'Mar 14, 2026'],
  ['fr', '14 mars 2026'],
  ['de', '14. März 2026'],
  ['es', '14 mar 2026'],
])('a date in %s is %s', (language, expected) => {
  expect(fill('{d:date}', { d: '2026-03-14' }, { ...english, language })).toBe(expected);
  expect(fill('{d:date}', { d: '2026-03-14T23:59:00.000Z' }, { ...english, language })).toBe(
    expected,
  );
});

test('numbers take the language’s decimal mark and the decimals asked for', () => {
  expect(fill('{n:1}', { n: 63.45 }, { ...english, language: 'de' })).toBe('63,5');
  expect(fill('{n:0} {n}', { n: 1240.25 })).toBe('1240 1240.25');
  expect(fill('{c:grouped} {c:upper}', { c: 'c00006e4' })).toBe('c000-06e4 C00006E4');
});

test.each([
  ['{d:date}', { d: '14.3.2026' }],
  ['{n:1}', { n: NaN }],
  ['{a', {}],
  ['a}', {}],
  ['{n:9}', { n: 1 }],
])('refuses %s of %o', (text, fields) => {
  expect(() => fill(text, fields)).toThrow(RangeError);
});
