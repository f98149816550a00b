import { expect, test } from 'vitest';
import { buildDigitalLink, canonicalDigitalLink, parseDigitalLink } from './digital-link.ts';
import { bracketed, parseElements, type Element } from './gs1-elements.ts';

const elements = (text: string): readonly Element[] => {
  const result = parseElements(text);
  if (result.status !== 'ok') throw new Error(result.reason);
  return result.elements;
};

// Unit tests of the GS1 Barcode Syntax Engine, src/c-lib/dl.c (github.com/gs1/gs1-syntax-engine).
test.each([
  [
    'https://example.com',
    '(01)12312312312326(22)ABC(10)DEF(21)GHI(95)INT',
    'https://example.com/01/12312312312326/22/ABC/10/DEF/21/GHI?95=INT',
  ],
  [
    'https://example.com',
    '(21)XYZ(01)12312312312333(10)ABC123(99)XYZ',
    'https://example.com/01/12312312312333/10/ABC123/21/XYZ?99=XYZ',
  ],
  [
    'https://id.gs1.org',
    '(01)12312312312326(21)abc123',
    'https://id.gs1.org/01/12312312312326/21/abc123',
  ],
])('%s + %s → %s', (base, text, expected) => {
  expect(buildDigitalLink(base, elements(text))).toBe(expected);
});

// epcis-event-hash-generator, tests/dl_normaliser_test; the EPC Tag Data Standard's 0614141 examples.
test.each([
  ['(8004)4012345ABC345', 'https://id.gs1.org/8004/4012345ABC345'],
  ['(8004)061414112345400', 'https://id.gs1.org/8004/061414112345400'],
  ['(8003)04012345000221334455', 'https://id.gs1.org/8003/04012345000221334455'],
  ['(8003)00614141123452400', 'https://id.gs1.org/8003/00614141123452400'],
  ['(00)340123451111111111', 'https://id.gs1.org/00/340123451111111111'],
  ['(414)4012345000054(254)122', 'https://id.gs1.org/414/4012345000054/254/122'],
  ['(414)4012345000054', 'https://id.gs1.org/414/4012345000054'],
  ['(01)04012345111118(21)98"', 'https://id.gs1.org/01/04012345111118/21/98%22'],
  ['(01)04012345123456(10)Lot987', 'https://id.gs1.org/01/04012345123456/10/Lot987'],
])('%s is %s, there and back', (text, link) => {
  expect(canonicalDigitalLink(elements(text))).toBe(link);
  const parsed = parseDigitalLink(link);
  expect(parsed.status === 'ok' && bracketed(parsed.elements)).toBe(text);
});

// dl.c again: what the engine accepts, with the elements it finds.
test.each([
  ['http://a/00/006141411234567890', '(00)006141411234567890'],
  ['HTTP://a/00/006141411234567890', '(00)006141411234567890'],
  ['HTTPS://a/00/006141411234567890', '(00)006141411234567890'],
  ['https://a/stem/00/006141411234567890', '(00)006141411234567890'],
  ['https://a:8443/00/006141411234567890', '(00)006141411234567890'],
  ['https://a/8004/9520614141234567?01=09521234543213', '(8004)9520614141234567(01)09521234543213'],
  ['https://id.gs1.org/01/9521234543213', '(01)09521234543213'],
  ['https://example.com/products/01/09521234543213', '(01)09521234543213'],
])('reads %s', (link, text) => {
  const parsed = parseDigitalLink(link);
  expect(parsed.status === 'ok' && bracketed(parsed.elements)).toBe(text);
});

test.each([
  'HtTp://a/00/006141411234567890',
  'https://00/006141411234567890',
  'https:///00/006141411234567890',
  'https://a/00/006141411234567891',
  'https://a/8004/9521{1}',
  'https://a/8004/9521%00123',
  'https://a/01/09521234543213/21/A/10/B',
  'https://a/gtin/09521234543213',
  'not an address',
])('refuses %s', (link) => {
  expect(parseDigitalLink(link).status).toBe('fault');
});

test('refuses to build what the standard does not allow', () => {
  expect(() => buildDigitalLink('https://a', [{ ai: '10', value: 'LOT' }])).toThrow(/key/);
  expect(() => buildDigitalLink('https://a', elements('(01)09521234543213(235)X(10)B'))).toThrow(
    RangeError,
  );
  expect(() =>
    buildDigitalLink('https://a', [
      { ai: '01', value: '09521234543213' },
      { ai: '8200', value: 'http://x' },
    ]),
  ).toThrow(/8200/);
  expect(buildDigitalLink('https://a', [{ ai: '8004', value: '9521+A' }])).toBe(
    'https://a/8004/9521%2BA',
  );
});
