import { expect, test } from 'vitest';
import {
  checkGiai,
  checkGln,
  checkGrai,
  checkGtin,
  checkSscc,
  gs1CheckDigit,
  makeGiai,
  makeGrai,
} from './gs1-key.ts';

// GS1 "check digit calculator" manual example (first row); the others from the unit tests of lint_csum in the
// GS1 Barcode Syntax Dictionary and the BWIPP wiki's SSCC example.
test.each([
  ['629104150021', '3'],
  ['37610425002123456', '9'],
  ['0234567', '3'],
  ['41600033610', '8'],
  ['123456789012', '8'],
  ['1234567890123', '1'],
  ['12345678901234567', '5'],
  ['10614141123456789', '7'],
])('the GS1 check digit of %s is %s', (body, digit) => {
  expect(gs1CheckDigit(body)).toBe(digit);
});

// lint_csum's own list of strings that must fail.
test.each(['416000336109', '1234567890129', '12345678901232', '12345673'])(
  'refuses GTIN %s',
  (text) => {
    expect(checkGtin(text).status).toBe('wrong-check-digit');
  },
);

test('an SSCC with a wrong digit is refused, a space too', () => {
  expect(checkSscc('123456789012345670')).toMatchObject({ expected: '5' });
  expect(checkSscc('12345678901234567 ').status).toBe('wrong-shape');
});

// 8003 04012345000221334455 and 414 4012345000054: epcis-event-hash-generator, tests/dl_normaliser_test;
// 8003 00614141123452400 and 8004 061414112345400: examples of the EPC Tag Data Standard.
test('published GRAI, GIAI and GLN examples hold', () => {
  expect(checkGrai('04012345000221334455').status).toBe('ok');
  expect(checkGrai('00614141123452400').status).toBe('ok');
  expect(checkGrai('00614141123453400')).toMatchObject({ expected: '2' });
  expect(checkGiai('061414112345400').status).toBe('ok');
  expect(checkGiai('4012345ABC345').status).toBe('ok');
  expect(checkGln('4012345000054').status).toBe('ok');
  expect(makeGrai('4012345', '00022', '334455')).toBe('04012345000221334455');
  expect(makeGiai('0614141', '12345400')).toBe('061414112345400');
});

// gcppos1 of the GS1 Barcode Syntax Dictionary: a key starts with its company prefix, so with digits.
test.each(['ABCDEF1', '123A', 'x', '4012345#1', `4012345${'0'.repeat(24)}`])(
  'refuses GIAI %s',
  (value) => {
    expect(checkGiai(value).status).toBe('wrong-shape');
  },
);

test('never accepts a prefix that is none', () => {
  expect(() => makeGiai('', 'C0000001')).toThrow(RangeError);
  expect(() => makeGiai('ABC', 'C0000001')).toThrow(RangeError);
  expect(() => makeGiai('9521321', 'C 1')).toThrow(RangeError);
});
