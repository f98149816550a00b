import { PDFDict, PDFDocument, PDFName } from '@cantoo/pdf-lib';
import {
  drawLabel,
  EXAMPLE_FIELDS,
  inkAt,
  moveDrawing,
  placeOnSheet,
  testLabel,
  toBitmap,
  toPdf,
  toPng,
  toSvg,
  toTestSheet,
  toZpl,
  type Drawing,
} from '@rundlet/labels';
import { readCodes } from '@rundlet/reading';
import { PNG } from 'pngjs';
import { describe, expect, test } from 'vitest';
import { hasProgram, loadFonts, loadTemplate, renderPdf, type Grey } from './support.ts';

const fonts = loadFonts();
const draw = (file: string, fields = {}): Drawing =>
  drawLabel(loadTemplate(file), { ...EXAMPLE_FIELDS, ...fields }, { fonts });
const ghostscript = hasProgram('gs');
if (!ghostscript)
  console.warn('\n!! PDF PAGES NOT LOOKED AT: no Ghostscript (gs) on this machine.\n');

describe('PDF', () => {
  test('a roll label is a page of exactly its size, one for each, with print scaling off', async () => {
    const roll = draw('cask-roll-100x150.json');
    const pdf = await PDFDocument.load(await toPdf([roll, roll]), { updateMetadata: false });
    expect(pdf.getPageCount()).toBe(2);
    // 100 × 150 mm in points of 1/72 inch.
    expect(pdf.getPage(0).getWidth()).toBeCloseTo(283.465, 3);
    expect(pdf.getPage(0).getHeight()).toBeCloseTo(425.197, 3);
    const preferences = pdf.catalog.lookup(PDFName.of('ViewerPreferences'), PDFDict);
    expect(preferences.get(PDFName.of('PrintScaling'))).toBe(PDFName.of('None'));
  });

  test('the same labels give the same bytes', async () => {
    const label = draw('sample-bottle-57x32.json');
    expect(await toPdf([label])).toEqual(await toPdf([label]));
  });

  test('a sheet starts where it is told and goes on to the next page', async () => {
    const template = loadTemplate('cask-sheet-a4-2x4.json');
    const sheet = template.sheet as NonNullable<typeof template.sheet>;
    const labels = Array.from({ length: 3 }, () => draw('cask-sheet-a4-2x4.json'));
    expect(
      (await PDFDocument.load(await toPdf(labels, { sheet, startPosition: 6 }))).getPageCount(),
    ).toBe(1);
    expect(
      (await PDFDocument.load(await toPdf(labels, { sheet, startPosition: 7 }))).getPageCount(),
    ).toBe(2);
    await expect(toPdf(labels, { sheet, startPosition: 9 })).rejects.toThrow(/1 to 8/);
    // Corners by the glabels template database (github.com/jimevins/glabels-qt, L7165): 4.7, 13.0 and pitch 101.6 × 67.7 mm.
    expect(placeOnSheet(sheet, 0, 6)).toEqual({ page: 0, xMm: 106.3, yMm: 13 + 2 * 67.7 });
    expect(placeOnSheet(sheet, 2, 7)).toMatchObject({ page: 1, xMm: 4.7, yMm: 13 });
    expect(placeOnSheet(sheet, 3, 1, { rightMm: 0.5, downMm: -1, pitchDownMm: 0.2 })).toEqual({
      page: 0,
      xMm: 4.7 + 0.5 + 101.6,
      yMm: 13 - 1 + 67.9,
    });
  });

  test.skipIf(!ghostscript)(
    'ink lies where the drawing says, to a tenth of a millimetre',
    async () => {
      const roll = draw('cask-roll-100x150.json');
      const [page] = renderPdf(await toPdf([roll], { dpi: 600 }), 508); // 20 dots a millimetre
      const dark = inkRows(page as Grey);
      const rule = roll.shapes.find((shape) => shape.kind === 'bar');
      if (rule?.kind !== 'bar') throw new Error('no rule');
      const y = Math.round((rule.yMm + rule.heightMm / 2) * 20);
      const row = dark(y);
      expect(row.first / 20).toBeCloseTo(rule.xMm, 1);
      expect((row.last + 1) / 20).toBeCloseTo(rule.xMm + rule.widthMm, 1);
    },
  );

  test.skipIf(!ghostscript)(
    'the check rule of a test sheet is 100 mm long and its outlines are where the stock has its labels',
    async () => {
      const template = loadTemplate('cask-sheet-letter-2x3.json');
      const { sheet } = template;
      if (!sheet) throw new Error('no sheet');
      const adjust = { rightMm: 1.5, downMm: -0.75 };
      const [page] = renderPdf(await toTestSheet(template, { fonts, adjust }), 508);
      const picture = page as Grey;
      expect(picture.width / 20).toBeCloseTo(215.9, 0);
      const rule = inkRows(picture)(picture.height - Math.round(7 * 20));
      expect((rule.last - rule.first) / 20).toBeCloseTo(100, 0);
      const edges = inkRows(picture)(Math.round((sheet.topMm + 20) * 20));
      expect(edges.first / 20).toBeCloseTo(sheet.leftMm + 1.5, 1);
      expect((edges.last + 1) / 20).toBeCloseTo(sheet.leftMm + 1.5 + 106.4 + 101.6, 1);
      const top = picture.data.findIndex((light) => light < 128);
      expect(Math.floor(top / picture.width) / 20).toBeCloseTo(sheet.topMm - 0.75, 1);
    },
  );

  test('the test label of a roll has its outline at the edge and a rule as long as it says', () => {
    const label = testLabel(loadTemplate('cask-roll-100x50.json'), fonts);
    const bitmap = toBitmap(label, 508);
    const ink = Array.from({ length: bitmap.widthDots }, (_, x) => inkAt(bitmap, x, 25 * 20 + 1));
    // The row of the rule: the edge, then 90 mm (the longest of whole centimetres on 100 mm), then the other edge.
    expect([ink[0], ink.at(-1)]).toEqual([true, true]);
    const inner = ink.slice(20, -20);
    expect((inner.lastIndexOf(true) - inner.indexOf(true) + 1) / 20).toBeCloseTo(90, 1);
    expect(label.shapes.some((s) => s.kind === 'text' && s.text === 'across: 90 mm')).toBe(true);
    const moved = toBitmap(moveDrawing(label, 2, 1), 508);
    expect(inkAt(moved, 39, 400)).toBe(false);
    expect(inkAt(moved, 40, 400)).toBe(true);
  });

  test.skipIf(!ghostscript)(
    'a printed sheet of eight different labels is read back, each once',
    async () => {
      const { sheet } = loadTemplate('cask-sheet-a4-2x4.json');
      if (!sheet) throw new Error('no sheet');
      const urls = Array.from(
        { length: 8 },
        (_, n) => `HTTPS://CASKS.HARROWPOINT.EXAMPLE/C/C00${n}06E4`,
      );
      const labels = urls.map((caskUrl) => draw('cask-sheet-a4-2x4.json', { caskUrl }));
      const [page] = renderPdf(await toPdf(labels, { sheet }), 300);
      const { width, height, data } = page as Grey;
      const [wide, high] = [Math.floor(width / 2), Math.floor((height * 67.7) / 297)];
      const found = urls.map((_, n) => {
        const left = (n % 2) * wide;
        const top = Math.round((height * (13 + 67.7 * Math.floor(n / 2))) / 297);
        const cut = new Uint8ClampedArray(wide * high);
        for (let y = 0; y < high; y++)
          cut.set(
            data.subarray((top + y) * width + left, (top + y) * width + left + wide),
            y * wide,
          );
        const { codes } = readCodes({ data: cut, width: wide, height: high });
        return codes.find(({ format }) => format === 'qr')?.text;
      });
      expect(found).toEqual(urls);
    },
  );
});

/** First and last dark pixel of a row. */
function inkRows({ data, width }: Grey): (y: number) => { first: number; last: number } {
  return (y) => {
    const row = data.subarray(y * width, (y + 1) * width);
    return {
      first: row.findIndex((light) => light < 128),
      last: row.findLastIndex((light) => light < 128),
    };
  };
}

describe('PNG', () => {
  // ISO/IEC 15948 (PNG): pHYs gives pixels a metre; pngjs is the judge of the file.
  test.each([
    [203, 8000],
    [300, 11811],
    [600, 23622],
  ])('at %d dpi says %d dots a metre and holds the same dots as the bitmap', (dpi, perMetre) => {
    const drawing = draw('cask-head-disc-60.json');
    const bytes = Buffer.from(toPng(drawing, dpi));
    const at = bytes.indexOf('pHYs') + 4;
    expect([bytes.readUInt32BE(at), bytes.readUInt32BE(at + 4), bytes[at + 8]]).toEqual([
      perMetre,
      perMetre,
      1,
    ]);
    const { data, width, height } = PNG.sync.read(bytes);
    const bitmap = toBitmap(drawing, dpi);
    expect([width, height]).toEqual([bitmap.widthDots, bitmap.heightDots]);
    for (let y = 0; y < height; y += 3)
      for (let x = 0; x < width; x += 3)
        expect((data[(y * width + x) * 4] as number) < 128).toBe(inkAt(bitmap, x, y));
  });

  test('a PNG cut short is refused by its reader: the checks above are checks', () => {
    const bytes = Buffer.from(toPng(draw('cask-head-disc-60.json'), 203));
    bytes[60] = (bytes[60] as number) ^ 0xff;
    expect(() => PNG.sync.read(bytes)).toThrow();
  });
});

describe('ZPL', () => {
  // ZPL II programming guide, ^GF: `G`–`Y` repeat the next digit 1–19 times, `g`–`z` 20–400 times, `,` and `!` fill the row
  // with 0 and F, `:` repeats the row above. This reading of the guide is independent of the writer.
  function decode(zpl: string): { rowBytes: number; rows: string[] } {
    const [, total = '', again = '', rowBytes = '', data = ''] =
      /\^GFA,(\d+),(\d+),(\d+),([^^]*)\^FS/.exec(zpl) ?? [];
    expect(total).toBe(again);
    const digits = Number(rowBytes) * 2;
    const rows: string[] = [];
    let row = '';
    let repeat = 0;
    const finish = (): void => {
      rows.push(row);
      row = '';
    };
    for (const character of data) {
      if (character === ',') row = row.padEnd(digits, '0');
      else if (character === '!') row = row.padEnd(digits, 'F');
      else if (character === ':') row = rows.at(-1) as string;
      else if (/[G-Y]/.test(character)) repeat += character.charCodeAt(0) - 70;
      else if (/[g-z]/.test(character)) repeat += (character.charCodeAt(0) - 102) * 20;
      else {
        row += character.repeat(Math.max(1, repeat));
        repeat = 0;
      }
      if (row.length === digits) finish();
    }
    expect(rows.length * Number(rowBytes)).toBe(Number(total));
    return { rowBytes: Number(rowBytes), rows };
  }

  test.each([203, 300, 600])('carries the bitmap unchanged at %d dpi', (dpi) => {
    const drawing = draw('cask-roll-100x50.json');
    const bitmap = toBitmap(drawing, dpi);
    const zpl = toZpl(drawing, dpi, { copies: 3 });
    const { rows, rowBytes } = decode(zpl);
    expect(rowBytes).toBe(bitmap.rowBytes);
    expect(rows.join('')).toBe(Buffer.from(bitmap.bits).toString('hex').toUpperCase());
    expect(zpl.startsWith('^XA\n')).toBe(true);
    expect(zpl).toContain(`^PW${bitmap.widthDots}\n^LL${bitmap.heightDots}\n`);
    expect(zpl.trimEnd().endsWith('^PQ3\n^XZ')).toBe(true);
  });

  test('is a small fraction of the plain hexadecimal', () => {
    const drawing = draw('cask-roll-100x150.json');
    const { rowBytes, heightDots } = toBitmap(drawing, 203);
    expect(toZpl(drawing, 203).length).toBeLessThan((rowBytes * heightDots * 2) / 4);
  });

  test.each([0, 1.5, 10000])('refuses %d copies', (copies) => {
    expect(() => toZpl(draw('cask-head-disc-60.json'), 203, { copies })).toThrow(RangeError);
  });
});

test('SVG is in true millimetres, keeps no font and escapes its title', () => {
  const svg = toSvg(draw('cask-roll-100x150.json'), { title: 'A & <B>' });
  expect(svg).toMatch(/^<svg [^>]*width="100mm" height="150mm" viewBox="0 0 100 150"/);
  expect(svg).toContain('<title>A &#38; &#60;B&#62;</title>');
  expect(svg).not.toContain('<text');
});

test('modules are whole dots in every bitmap: runs along the finder pattern are 7 equal to 1:1:3:1:1', () => {
  for (const dpi of [203, 300, 600]) {
    const drawing = draw('cask-head-disc-60.json');
    const bitmap = toBitmap(drawing, dpi);
    const shape = drawing.shapes.find((each) => each.kind === 'symbol');
    if (shape?.kind !== 'symbol') throw new Error('no symbol');
    const middle = Math.round(((shape.xMm + shape.widthMm / 2) * bitmap.widthDots) / 60);
    const finder: number[] = [];
    for (let y = Math.round((shape.yMm * bitmap.heightDots) / 60); finder.length === 0; y++) {
      const runs: number[] = [];
      let ink = false;
      for (let x = Math.round((shape.xMm * bitmap.widthDots) / 60); x < middle; x++) {
        if (inkAt(bitmap, x, y) !== ink) {
          ink = !ink;
          runs.push(0);
        }
        if (runs.length > 0) runs[runs.length - 1] = (runs.at(-1) as number) + 1;
      }
      // The fourth row of modules of the finder pattern: dark, light, three dark, light, dark.
      const [a = 0, b, c, d] = runs;
      if (b === a && c === 3 * a && d === a) finder.push(a);
    }
    expect(finder[0]).toBeGreaterThanOrEqual(4);
  }
});
