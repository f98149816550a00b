import { existsSync } from 'node:fs';
import { join } from 'node:path';
import { readCodes, type ReadOptions, type SecondEngine } from '@rundlet/reading';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { CORPUS, loadSet, startSecondEngine, type Photo } from './support.ts';

// Photographs of codes with what they say: black-box test sets of the ZXing project
// (github.com/zxing/zxing, core/src/test/resources/blackbox, Apache-2.0). They are not part of this repository.
const SETS = ['qrcode-1', 'qrcode-3', 'qrcode-5', 'code128-2', 'code39-3', 'code128-1'];
const present = CORPUS !== '' && SETS.every((set) => existsSync(join(CORPUS, set)));
if (!present)
  console.warn(
    `\n!! PHOTOS NOT READ: RUNDLET_PHOTO_CORPUS must name a folder with ${SETS.join(', ')}; it is "${CORPUS}".\n`,
  );

/** Two photos show a second label beside the one their text file speaks of; read by eye and by three decoders. */
const ALSO_THERE: Record<string, string> = {
  'code39-3/02.png': '001EC947D49B',
  'code39-3/08.png': '001EC9476B0A',
};

interface Outcome {
  hits: number;
  wrong: string[];
}

function readAll(photos: readonly Photo[], options: ReadOptions): Outcome {
  const outcome: Outcome = { hits: 0, wrong: [] };
  for (const { name, text, picture } of photos) {
    const { codes } = readCodes(picture, options);
    if (codes.some((code) => code.text === text)) outcome.hits++;
    for (const code of codes)
      if (code.text !== text && code.text !== ALSO_THERE[name])
        outcome.wrong.push(`${name}: ${code.format} ${code.text}`);
  }
  return outcome;
}

describe.skipIf(!present)('photographs', () => {
  let second: SecondEngine;
  const sets = new Map<string, Photo[]>();
  beforeAll(async () => {
    second = await startSecondEngine();
    for (const set of SETS) sets.set(set, loadSet(set));
  });
  const table: string[] = [];
  afterAll(() => console.log(`photos read\n${table.join('\n')}`));
  const read = (names: readonly string[], options: ReadOptions): Outcome => {
    const photos = names.flatMap((name) => sets.get(name) ?? []);
    const outcome = readAll(photos, options);
    const engines = options.secondEngine ? 'both engines' : 'first engine';
    const { effort = 'photo' } = options;
    table.push(`  ${names.join(', ')}; ${engines}, ${effort}: ${outcome.hits} of ${photos.length}`);
    return outcome;
  };

  // Published counts: zxing-cpp reads 17, 38 and 19 of these (its BlackboxTestRunner); jsQR and zxing-wasm 81 (measured).
  test('both engines read at least 80 of the 81 QR photos, and no wrong text', () => {
    const { hits, wrong } = read(['qrcode-1', 'qrcode-3', 'qrcode-5'], { secondEngine: second });
    expect(wrong).toEqual([]);
    expect(hits).toBeGreaterThanOrEqual(80);
  });

  // ZXing's Code128BlackBox2TestCase: 36 of 40, 39 when trying harder.
  test.each([
    ['code128-2', 39],
    ['code39-3', 17],
    ['code128-1', 7],
  ])('both engines read %s: at least %d, and no wrong text', (set, least) => {
    const { hits, wrong } = read([set], { secondEngine: second });
    expect(wrong).toEqual([]);
    expect(hits).toBeGreaterThanOrEqual(least);
  });

  test.each([
    ['code128-2', 38],
    ['code39-3', 17],
    ['code128-1', 7],
    ['qrcode-1', 20],
    ['qrcode-3', 40],
    ['qrcode-5', 19],
  ])('the first engine alone reads %s: at least %d, and no wrong text', (set, least) => {
    const { hits, wrong } = read([set], {});
    expect(wrong).toEqual([]);
    expect(hits).toBeGreaterThanOrEqual(least);
  });

  test('as camera frames, the first engine alone still reads nearly all, and no wrong text', () => {
    const { hits, wrong } = read(SETS, { effort: 'frame' });
    expect(wrong).toEqual([]);
    expect(hits).toBeGreaterThanOrEqual(135); // of 145
  });

  test('a photo whose code is painted over gives nothing: no code is invented', () => {
    for (const name of ['qrcode-1', 'qrcode-3', 'qrcode-5', 'code128-2'])
      for (const { name: photo, picture } of sets.get(name)?.slice(0, 12) ?? []) {
        const { data, width, height } = picture;
        const covered = data.slice();
        // A band of plain grey over the middle nine tenths leaves the photo's own edges and grain.
        for (let y = Math.round(height * 0.05); y < height * 0.95; y++)
          covered.fill(
            150,
            (y * width + Math.round(width * 0.05)) * 4,
            (y * width + Math.round(width * 0.95)) * 4,
          );
        expect(
          readCodes({ data: covered, width, height }, { secondEngine: second }).codes,
          photo,
        ).toEqual([]);
      }
  });

  test('a photo of 12 megapixels with a small code in it is read at full size', () => {
    const { picture, text } = sets.get('qrcode-1')?.[0] as Photo;
    const large = {
      width: 4032,
      height: 3024,
      data: new Uint8ClampedArray(4032 * 3024 * 4).fill(140),
    };
    for (let y = 0; y < picture.height; y++)
      large.data.set(
        picture.data.subarray(y * picture.width * 4, (y + 1) * picture.width * 4),
        ((y + 1200) * large.width + 1700) * 4,
      );
    const { codes } = readCodes(large, { secondEngine: second });
    expect(codes).toMatchObject([{ text, format: 'qr' }]);
    for (const { x, y } of codes[0]?.corners ?? []) {
      expect(x).toBeGreaterThan(1700);
      expect(x).toBeLessThan(1700 + picture.width);
      expect(y).toBeGreaterThan(1200);
      expect(y).toBeLessThan(1200 + picture.height);
    }
  });
});
