import jsqr from 'jsqr';
import {
  drawLabel,
  EXAMPLE_FIELDS,
  makeQr,
  placeSymbol,
  preflight,
  toBitmap,
  type Drawing,
} from '@rundlet/labels';
import { readCodes, type SecondEngine } from '@rundlet/reading';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { startSecondEngine } from '../reading/support.ts';
import { blurred, faded, seenFrom, tilted } from './damage.ts';
import {
  hasProgram,
  loadFonts,
  loadTemplate,
  onPaper,
  readWithZbar,
  templateFiles,
  type Grey,
} from './support.ts';

// Every code of every template, dot for dot as it is printed, read back by our reader and by decoders that are not part of the
// product: zbarimg (Debian zbar-tools) and jsQR.
const zbar = hasProgram('zbarimg');
if (!zbar)
  console.warn(
    '\n!! LABELS NOT READ WITH ZBAR: no zbarimg here (Debian: zbar-tools). jsQR alone stands beside our reader, and only for QR.\n',
  );

// A CommonJS module: what its types call `default` is what Node hands over.
const jsQR = jsqr as unknown as typeof jsqr.default;
const fonts = loadFonts();
let second: SecondEngine;
const tally = new Map<string, [read: number, asked: number]>();
beforeAll(async () => {
  second = await startSecondEngine();
});
afterAll(() => {
  const rows = [...tally].map(
    ([name, [read, asked]]) => `  ${name.padEnd(34)} ${read} of ${asked}`,
  );
  console.log(`codes read back\n${rows.join('\n')}`);
});

function count(name: string, expected: readonly string[], found: readonly string[]): void {
  const [read, asked] = tally.get(name) ?? [0, 0];
  tally.set(name, [
    read + expected.filter((text) => found.includes(text)).length,
    asked + expected.length,
  ]);
}

function readWithJsQr({ data, width, height }: Grey): string[] {
  const rgba = new Uint8ClampedArray(data.length * 4);
  data.forEach((light, at) =>
    rgba.fill(light, at * 4, at * 4 + 3).fill(255, at * 4 + 3, at * 4 + 4),
  );
  const found = jsQR(rgba, width, height, { inversionAttempts: 'dontInvert' });
  return found ? [found.data] : [];
}

const textsOf = (drawing: Drawing, dpi: number): string[] =>
  preflight(drawing, { dpi }).symbols.map(({ text }) => text);

/** Our reader must give exactly the codes that are there; jsQR and zbarimg between them must find those of `asked`. */
function judge(name: string, picture: Grey, all: readonly string[], asked = all): void {
  const ours = readCodes(picture, { secondEngine: second }).codes.map(({ text }) => text);
  count(`${name}: ours`, all, ours);
  expect([...ours].sort(), `${name}, our reader`).toEqual([...all].sort());
  const qr = asked.filter(isAddress);
  // The others look from two distances, as a person with a phone does.
  const nearAndFar = [picture, seenFrom(picture, Math.max(picture.width, picture.height) / 2)];
  const js = nearAndFar.flatMap(readWithJsQr);
  count(`${name}: jsQR`, qr, js);
  const zbarred = zbar ? nearAndFar.flatMap(readWithZbar) : [];
  if (zbar) count(`${name}: zbarimg`, asked, zbarred);
  const foreign = [...js, ...zbarred];
  expect(foreign, `${name}, other decoders`).toEqual(
    expect.arrayContaining(zbar ? [...asked] : qr),
  );
  for (const text of foreign) expect(all).toContain(text);
}

const isAddress = (text: string): boolean => text.startsWith('HTTPS://');

/** So far away that the narrowest module of the label is `pixels` wide. */
function seenAt(drawing: Drawing, dpi: number, pixels: number): Grey {
  const printed = onPaper(toBitmap(drawing, dpi));
  const narrowest = Math.min(
    ...preflight(drawing, { dpi }).symbols.map(({ moduleDots }) => moduleDots),
  );
  return seenFrom(printed, (Math.max(printed.width, printed.height) * pixels) / narrowest);
}

describe.each(templateFiles())('%s', (file) => {
  const drawing = drawLabel(loadTemplate(file), EXAMPLE_FIELDS, { fonts });

  test.each([203, 300, 600])('as printed at %d dpi', (dpi) => {
    const all = textsOf(drawing, dpi);
    expect(all.length).toBeGreaterThan(0);
    judge(`${dpi} dpi`, onPaper(toBitmap(drawing, dpi)), all);
  });

  // All three at the coarsest resolution, where a rounded dot weighs most; at the finer ones, which look the same from this far, one each.
  test.each([
    [203, ['blurred', 'faded', 'tilted']],
    [300, ['blurred']],
    [600, ['tilted']],
  ])('at %d dpi, then %j', (dpi, damages) => {
    const all = textsOf(drawing, dpi);
    const seen = seenAt(drawing, dpi, 4);
    if (damages.includes('blurred')) judge('blurred by 1 px', blurred(1)(seen), all);
    if (damages.includes('faded')) judge('a quarter of the contrast', faded(seen), all);
    // zbar scans along rows and columns, which at 30° cross no linear code from end to end: it is not asked for those.
    if (damages.includes('tilted'))
      judge('tilted by 30°', tilted(30)(seen), all, all.filter(isAddress));
  });
});

const withLevelH = templateFiles()
  .map((file) => ({ file, drawing: drawLabel(loadTemplate(file), EXAMPLE_FIELDS, { fonts }) }))
  .filter(({ drawing }) => hasLevelH(drawing));

test('some templates have a code of level H, for labels that will suffer', () => {
  expect(withLevelH.length).toBeGreaterThanOrEqual(3);
});

test.each(withLevelH)('$file: a fifth of its level H code covered', ({ drawing }) => {
  const dpi = 203;
  const shape = drawing.shapes.find((each) => each.kind === 'symbol' && each.symbol.level === 'H');
  if (shape?.kind !== 'symbol') throw new Error('no level H code');
  const printed = onPaper(toBitmap(drawing, dpi));
  const { xMm, yMm, moduleDots = 0 } = placeSymbol(shape, dpi);
  const all = textsOf(drawing, dpi);
  // Patches of a fifth of the symbol's area, as a tear, a run of wax or a thumb makes them, in modules of a version 4 symbol (33 a
  // side) and clear of its finder patterns. In the middle a fifth of the area is 27 % of the data modules, at the limit of level
  // H. Without the corner that holds the alignment pattern jsQR and zbar mostly lose their grid: they are not asked.
  const patches = [
    { where: 'on the left', x: 0, y: 9, across: 14.5, down: 15, asked: all },
    { where: 'at the corner', x: 18.2, y: 18.2, across: 14.8, down: 14.8, asked: [] },
  ];
  expect(shape.symbol.columns).toBe(33);
  for (const { where, x, y, across, down, asked } of patches) {
    expect(across * down).toBeGreaterThanOrEqual(0.199 * 33 ** 2);
    for (const light of [0, 255]) {
      const data = printed.data.slice();
      const left = 20 + Math.round(xMm * 8 + x * moduleDots);
      const top = 20 + Math.round(yMm * 8 + y * moduleDots);
      for (let row = top; row < top + down * moduleDots; row++)
        data.fill(
          light,
          row * printed.width + left,
          row * printed.width + left + Math.round(across * moduleDots),
        );
      judge(
        `a fifth covered ${where}`,
        { ...printed, data },
        all,
        zbar ? asked : asked.filter(isAddress),
      );
    }
  }
});

function hasLevelH(drawing: Drawing): boolean {
  return drawing.shapes.some((shape) => shape.kind === 'symbol' && shape.symbol.level === 'H');
}

test('the tests can fail: a code whose half is covered is not read', () => {
  const { columns, modules } = makeQr('HTTPS://CASKS.HARROWPOINT.EXAMPLE/C/C00006E4', 'H');
  const [scale, quiet] = [6, 4];
  const width = (columns + 2 * quiet) * scale;
  const data = new Uint8ClampedArray(width * width).fill(255);
  for (let y = 0; y < columns / 2; y++)
    for (let x = 0; x < columns; x++)
      if (modules[y * columns + x] === 1)
        for (let row = 0; row < scale; row++)
          data.fill(
            0,
            ((y + quiet) * scale + row) * width + (x + quiet) * scale,
            ((y + quiet) * scale + row) * width + (x + quiet + 1) * scale,
          );
  const picture = { data, width, height: width };
  expect(readCodes(picture, { secondEngine: second }).codes).toEqual([]);
  expect(readWithJsQr(picture)).toEqual([]);
});
