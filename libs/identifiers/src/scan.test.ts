import fc from 'fast-check';
import { expect, test } from 'vitest';
import { caskUrl } from './address.ts';
import { CODE_CAPACITY, CODE_KINDS, displayCode, makeCaskCode, makeCode } from './code.ts';
import { makeGiai, makeGrai } from './gs1-key.ts';
import { parseScan } from './scan.ts';

const origin = 'https://casks.harrowpoint.example';
const options = { origins: [origin], companyPrefixes: ['9521321'] };
const code = makeCaskCode(173);
const giai = makeGiai('9521321', code);
const grai = makeGrai('9521321', '00001', code);
const turnCase = (text: string): string =>
  [...text].map((c) => (c === c.toUpperCase() ? c.toLowerCase() : c.toUpperCase())).join('');

const caskIn = (text: string, withOptions: object = options): string | undefined =>
  parseScan(text, withOptions).candidates.find(({ kind }) => kind === 'cask')?.code;

test.each([
  ['bare', code],
  ['grouped', displayCode(code)],
  ['lower case', code.toLowerCase()],
  ['letters O and l', code.replaceAll('0', 'O').replaceAll('1', 'l')],
  ['CR LF', `${code}\r\n`],
  ['TAB', `${code}\t`],
  ['STX ETX', `\u0002${code}\u0003`],
  ['AIM Code 128', `]C0${code}`],
  ['AIM Code 39', `]A0${code}`],
  ['AIM QR', `]Q1${caskUrl({ origin, code })}`],
  ['address', caskUrl({ origin, code })],
  ['address in lower case', caskUrl({ origin, code }).toLowerCase()],
  ['address with a query', `${origin}/c/${code}?from=label#top`],
  ['address with CAPS LOCK', turnCase(`https://casks.harrowpoint.example/c/${code}`)],
  ['GIAI address', caskUrl({ origin, giai })],
  ['GRAI address', caskUrl({ origin, grai })],
  ['GIAI in brackets', `(8004)${giai}`],
  ['GIAI plain', `8004${giai}`],
  ['GIAI behind GS', `\u001d8004${giai}`],
  ['AIM GS1-128', `]C18004${giai}`],
  ['AIM GS1 QR', `]Q38004${giai}\r`],
  ['AIM GS1 Data Matrix, lower case', `]d28004${giai.toLowerCase()}`],
  ['GRAI with a batch behind GS', `]C18003${grai}\u001d10B1`],
  ['GRAI, GS as <GS>', `8003${grai}<GS>10B1`],
  ['GRAI, GS as ^]', `8003${grai}^]10B1`],
  ['GRAI, GS as the picture ␝', `8003${grai}␝10B1`],
  ['GRAI, GS as Alt+29 gives it', `8003${grai}↔10B1`],
  ['an address whose punctuation was lost', `HTTPSoCASKSxHARROWPOINT/C'${code}`],
])('finds the cask: %s', (_, text) => {
  expect(caskIn(text)).toBe(code);
});

test('a GS1 key keeps its own form beside our code', () => {
  expect(parseScan(`]C18004${giai}\u001d90X`, options).candidates[0]).toEqual({
    kind: 'gs1',
    ai: '8004',
    code: giai,
    wrapping: 'element-string',
    elements: [
      { ai: '8004', value: giai },
      { ai: '90', value: 'X' },
    ],
  });
});

test('our code behind somebody else’s prefix is not taken for ours', () => {
  expect(caskIn(`(8004)4012345${code}`)).toBeUndefined();
});

test('every kind is told apart by its letter', () => {
  for (const kind of CODE_KINDS)
    expect(parseScan(makeCode(kind, 41)).candidates[0]).toEqual({
      kind,
      code: makeCode(kind, 41),
      wrapping: 'bare',
    });
});

test('a wrong check character is named, bare or in an address, and gives no candidate', () => {
  const wrong = code.slice(0, -1) + (code.endsWith('7') ? '8' : '7');
  const problem = { kind: 'wrong-check-character', codeKind: 'cask', code: wrong };
  expect(parseScan(wrong)).toEqual({ text: wrong, candidates: [], problems: [problem] });
  expect(parseScan(`${origin}/C/${wrong}`, options)).toMatchObject({
    candidates: [],
    problems: [problem],
  });
});

test('an address on another host still gives the code, and says so', () => {
  const scan = parseScan(`https://elsewhere.example/c/${code}`, options);
  expect(scan.candidates).toMatchObject([{ kind: 'cask', code }]);
  expect(scan.problems).toEqual([{ kind: 'foreign-address', origin: 'https://elsewhere.example' }]);
});

test('a cooper’s number is handed back clean, to be looked up as an alias', () => {
  expect(parseScan(' 2019/114 A\r\n')).toEqual({
    text: '2019/114 A',
    candidates: [],
    problems: [{ kind: 'not-ours' }],
  });
  expect(parseScan('\r\n').problems).toEqual([{ kind: 'empty' }]);
});

test('a GS1 key with a wrong digit is refused with the reason', () => {
  const scan = parseScan('(8003)04012345000222334455');
  expect(scan.candidates).toEqual([]);
  expect(scan.problems).toMatchObject([{ kind: 'gs1-fault' }]);
  expect(JSON.stringify(scan.problems)).toContain('check digit');
});

test('any serial survives any wrapping and ending', () => {
  const wrap = fc.constantFrom(
    (c: string) => c,
    (c: string) => displayCode(c).toLowerCase(),
    (c: string) => caskUrl({ origin, code: c }),
    (c: string) => `]Q1${caskUrl({ origin, code: c }).toLowerCase()}`,
    (c: string) => `(8004)9521321${c}`,
    (c: string) => `]C18004${makeGiai('9521321', c)}\u001d`,
  );
  fc.assert(
    fc.property(
      fc.nat(CODE_CAPACITY - 1),
      wrap,
      fc.constantFrom('', '\r', '\r\n', '\t', '\n'),
      (n, w, end) => {
        expect(caskIn(w(makeCaskCode(n)) + end)).toBe(makeCaskCode(n));
      },
    ),
  );
});

test('never throws, whatever arrives', () => {
  fc.assert(
    fc.property(fc.string({ unit: 'binary', maxLength: 60 }), (text) => {
      parseScan(text, options);
    }),
  );
});
