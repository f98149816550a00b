import {
  drawLabel,
  EXAMPLE_FIELDS,
  parseTemplate,
  preflight,
  wholeDotModuleMm,
  type WarningKind,
} from '@rundlet/labels';
import { describe, expect, test } from 'vitest';
import { loadFonts } from './support.ts';

const fonts = loadFonts();
const qr = { kind: 'qr', xMm: 10, yMm: 10, sizeMm: 40, text: '{caskUrl}', level: 'Q' };

function check(
  items: object[],
  frame: object = {},
  fields: object = {},
  printing: object = {},
): ReturnType<typeof preflight> {
  const result = parseTemplate({
    format: 'rundlet-label/1',
    name: 'Trial',
    subject: 'cask',
    widthMm: 100,
    heightMm: 60,
    items,
    ...frame,
  });
  if (result.status !== 'ok') throw new Error(JSON.stringify(result.problems));
  return preflight(drawLabel(result.template, { ...EXAMPLE_FIELDS, ...fields }, { fonts }), {
    dpi: 203,
    ...printing,
  });
}
const kinds = (...args: Parameters<typeof check>): WarningKind[] =>
  check(...args).warnings.map(({ kind }) => kind);

test('a sound label has no warnings', () => {
  expect(kinds([qr])).toEqual([]);
});

const text = { kind: 'text', heightMm: 3, widthMm: 20, sizePt: 9, text: 'x'.repeat(8) };
describe.each([
  ['module-too-few-dots', [{ ...qr, sizeMm: 12 }], { readFromM: 0.05 }], // 37 modules in 12 mm: 2 dots at 8 a millimetre
  ['quiet-zone', [qr, { ...text, xMm: 48, yMm: 20 }]],
  ['quiet-zone', [qr, { kind: 'rule', xMm: 5, yMm: 12, lengthMm: 60 }]],
  ['low-error-correction', [{ ...qr, level: 'L' }]],
  ['reading-distance', [qr], { readFromM: 2 }],
  ['outside-label', [qr, { ...text, xMm: 90, yMm: 50, align: 'right' }]],
  ['on-corner', [qr, { ...text, xMm: 1, yMm: 1 }], { cornersFreeMm: 5 }],
  ['text-cut', [qr, { ...text, xMm: 60, yMm: 5, widthMm: 6, text: 'W'.repeat(40) }]],
  ['missing-glyph', [qr, { ...text, xMm: 60, yMm: 5, text: '漢字' }]],
  ['outside-label', [{ ...qr, xMm: 0, yMm: 0, sizeMm: 40 }], { shape: 'disc', widthMm: 60 }],
] as [WarningKind, object[], object?][])('warns of %s', (kind, items, frame) => {
  test('and of nothing else', () => {
    expect(new Set(kinds(items, frame))).toEqual(new Set([kind]));
  });
});

test('warns of a label wider than the printer, and of a GS1-128 longer than 165 mm', () => {
  expect(kinds([qr], {}, {}, { printerWidthMm: 80 })).toEqual(['wider-than-printer']);
  const long = {
    kind: 'gs1-128',
    xMm: 0,
    yMm: 52,
    widthMm: 200,
    heightMm: 8,
    maxModuleMm: 1,
    text: '(8004){giai}',
  };
  expect(kinds([qr, long], { widthMm: 200 })).toEqual(['gs1-128-too-long']);
});

// Figures of the print guide of DENSO WAVE (qrcode.com/en/howto/cell.html): 4 dots at 200 dpi are 0.5 mm, 5 dots at 300 dpi 0.42 mm, 4 at
// 600 dpi 0.17 mm.
test.each([
  [203, 0.55, 0.5],
  [300, 0.43, 0.423],
  [600, 0.2, 0.169],
])('at %d dpi a module wanted as %d mm is printed as %d mm', (dpi, wanted, printed) => {
  expect(wholeDotModuleMm(wanted, dpi)).toBeCloseTo(printed, 3);
});

// Reading distances measured with a 65° phone view: 1.0 mm modules from 0.50 m (1080p) and 1.06 m (12 MP).
test('reports size and reading distance of each code', () => {
  const { symbols } = check([{ ...qr, sizeMm: 37 }]);
  expect(symbols).toMatchObject([
    { symbology: 'qr', columns: 29, moduleMm: 1, moduleDots: 8, widthMm: 37 },
  ]);
  expect(symbols[0]?.readingDistanceM.video1080p).toBeCloseTo(0.5, 2);
  expect(symbols[0]?.readingDistanceM.photo12Megapixel).toBeCloseTo(1.06, 2);
});
