import { expect, test } from 'vitest';
import { caskUrl, codeUrl, isQrAlphanumeric } from './address.ts';
import { makeCaskCode, makeVatCode } from './code.ts';

const origin = 'https://casks.harrowpoint.example';

test('a cask address is upper case and fits the alphanumeric mode of a QR code', () => {
  const code = makeCaskCode(173);
  const url = caskUrl({ origin, code });
  expect(url).toBe(`HTTPS://CASKS.HARROWPOINT.EXAMPLE/C/${code}`);
  expect(isQrAlphanumeric(url)).toBe(true);
  expect(codeUrl(`${origin}:8443/`, makeVatCode(1))).toBe(
    `HTTPS://CASKS.HARROWPOINT.EXAMPLE:8443/V/${makeVatCode(1)}`,
  );
});

// 9521321C000173 under GS1's demonstration prefix 952; the shape is that of the GS1 Digital Link URI syntax.
test('with a GS1 key it is a Digital Link', () => {
  expect(caskUrl({ origin, giai: '9521321C000173' })).toBe(
    'HTTPS://CASKS.HARROWPOINT.EXAMPLE/8004/9521321C000173',
  );
  expect(caskUrl({ origin, grai: '04012345000221334455' })).toBe(
    'HTTPS://CASKS.HARROWPOINT.EXAMPLE/8003/04012345000221334455',
  );
});

test.each(['ftp://x.example', 'x.example', 'https://x.example/lower', 'https://a b'])(
  'refuses the origin %s',
  (bad) => {
    expect(() => caskUrl({ origin: bad, code: makeCaskCode(1) })).toThrow(RangeError);
  },
);

test('refuses a code that is none, and a GIAI without a prefix', () => {
  expect(() => caskUrl({ origin, code: 'C0000000' })).toThrow(RangeError);
  expect(() => caskUrl({ origin, giai: 'C000173' })).toThrow(RangeError);
});
