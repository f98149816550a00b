import { caskUrl, makeCaskCode, makeGrai, parseScan } from '@rundlet/identifiers';
import { readCodes, type SecondEngine } from '@rundlet/reading';
import {
  BinaryBitmap,
  Code128Reader,
  GlobalHistogramBinarizer,
  RGBLuminanceSource,
} from '@zxing/library';
import { beforeAll, describe, expect, test } from 'vitest';
import { gs1, linear, noiseFrom, paper, photograph, place, qr, type Scene } from './scenes.ts';
import { startSecondEngine } from './support.ts';

const origin = 'https://casks.harrowpoint.example';
const code = makeCaskCode(1173);
const url = caskUrl({ origin, code });
let second: SecondEngine;
beforeAll(async () => {
  second = await startSecondEngine();
});

const texts = (scene: Scene, options = {}): string[] =>
  readCodes(photograph(scene, { noise: 12 }), options)
    .codes.map(({ text }) => text)
    .sort();

describe('Code 128 behind other dark things', () => {
  // zxing-js issues #566, #444 and #446 describe it: a dark run before the start pattern spoils the row.
  const scene = paper(640, 200);
  place(scene, linear(code), { x: 380, y: 100, module: 2, degrees: 0 });
  for (const x of [20, 34, 60, 92])
    for (let y = 40; y < 160; y++) scene.light.fill(30, y * 640 + x, y * 640 + x + 9);

  test('the library itself misses it', () => {
    const { data, width, height } = photograph(scene);
    const source = new RGBLuminanceSource(data as Uint8ClampedArray, width, height);
    const bitmap = new BinaryBitmap(new GlobalHistogramBinarizer(source));
    expect(() => new Code128Reader().decode(bitmap)).toThrow();
  });

  test('the mended search finds it', () => {
    expect(texts(scene)).toEqual([code]);
  });
});

test.each([0, 10, 20, 30, 45, 60, 75, 90, 110, 150, 180, 200, 270])(
  'a linear code tilted by %d° is read by the first engine alone',
  (degrees) => {
    const scene = paper(480, 480);
    place(scene, linear(code), { x: 240, y: 240, module: 2, degrees });
    expect(texts(scene)).toEqual([code]);
  },
);

test.each([0, 15, 30, 45, 75])(
  'a QR code tilted by %d° is read by the first engine alone',
  (degrees) => {
    const scene = paper(400, 400);
    place(scene, qr(url), { x: 200, y: 200, module: 5, degrees });
    expect(texts(scene)).toEqual([url]);
  },
);

describe('several codes in one photo', () => {
  test.each(['both engines', 'the first engine alone'])(
    '%s: three QR codes and two linear ones',
    (engines) => {
      const scene = paper(1200, 700);
      const codes = [1, 2, 3, 4, 5].map((serial) => makeCaskCode(serial * 977));
      codes.slice(0, 3).forEach((each, index) =>
        place(scene, qr(caskUrl({ origin, code: each })), {
          x: 200 + index * 380,
          y: 200,
          module: 6,
          degrees: index * 8,
        }),
      );
      codes
        .slice(3)
        .forEach((each, index) =>
          place(scene, linear(each), { x: 300 + index * 560, y: 540, module: 2, degrees: 0 }),
        );
      const options = engines === 'both engines' ? { secondEngine: second } : {};
      const read = texts(scene, options).map((text) => parseScan(text).candidates[0]?.code);
      expect(read.sort()).toEqual(codes.sort());
    },
  );

  test('a bay of nine labels close together, of three sizes, the camera askew, by the first engine alone', () => {
    const scene = paper(1000, 1000);
    const codes = Array.from({ length: 9 }, (_, n) => makeCaskCode(40_000 + n * 313));
    const [cos, sin] = [Math.cos(0.2), Math.sin(0.2)];
    codes.forEach((each, n) => {
      const [across, down] = [((n % 3) - 1) * 250, (Math.floor(n / 3) - 1) * 250];
      place(scene, qr(caskUrl({ origin, code: each })), {
        x: Math.round(500 + across * cos - down * sin),
        y: Math.round(500 + across * sin + down * cos),
        module: 4 + (n % 3),
        degrees: (0.2 * 180) / Math.PI,
      });
    });
    expect(texts(scene)).toEqual(codes.map((each) => caskUrl({ origin, code: each })).sort());
  });
});

test('GS1-128 keeps its separators and its symbology identifier, with either engine', () => {
  const grai = makeGrai('9521321', '00001', code);
  const scene = paper(1000, 200);
  place(scene, gs1(`(8003)${grai}(10)B1`), {
    x: 500,
    y: 100,
    module: 2,
    degrees: 0,
  });
  const picture = photograph(scene);
  const expected = { text: `8003${grai}\u001d10B1`, symbologyIdentifier: ']C1' };
  expect(readCodes(picture).codes).toMatchObject([expected]);
  expect(readCodes(picture, { secondEngine: second }).codes).toMatchObject([expected]);
  expect(second.read(picture as never, ['code128'], false)).toMatchObject([expected]);
});

test('corners lie on the symbol, and grow back with a photo that was shrunk', () => {
  const scene = paper(2600, 1900);
  place(scene, qr(url), { x: 1700, y: 700, module: 14, degrees: 0 });
  const half = (29 * 14) / 2;
  for (const options of [{}, { secondEngine: second }]) {
    const [found] = readCodes(photograph(scene), options).codes;
    const xs = found?.corners.map(({ x }) => x) ?? [];
    const ys = found?.corners.map(({ y }) => y) ?? [];
    expect(Math.abs(Math.min(...xs) - (1700 - half))).toBeLessThan(20);
    expect(Math.abs(Math.max(...xs) - (1700 + half))).toBeLessThan(20);
    expect(Math.abs(Math.min(...ys) - (700 - half))).toBeLessThan(20);
    expect(Math.abs(Math.max(...ys) - (700 + half))).toBeLessThan(20);
  }
});

test('frames: what one frame misses by tilt, another of the next ten reads', () => {
  const scene = paper(640, 480);
  place(scene, linear(code), { x: 320, y: 240, module: 2, degrees: 52 });
  const seen = Array.from({ length: 10 }, (_, frameNumber) =>
    readCodes(photograph(scene, { noise: 8, seed: frameNumber + 1 }), {
      effort: 'frame',
      frameNumber,
    }).codes.map(({ text }) => text),
  ).flat();
  expect(new Set(seen)).toEqual(new Set([code]));
});

test('wood grain, stripes and noise give no code', () => {
  for (let seed = 1; seed <= 12; seed++) {
    const random = noiseFrom(seed);
    const scene = paper(640, 480, 140);
    const bands = Array.from({ length: 640 }, () => random());
    for (let y = 0; y < 480; y++)
      for (let x = 0; x < 640; x++) {
        const band = bands[(x + Math.round(6 * Math.sin(y / 40 + seed))) % 640] as number;
        scene.light[y * 640 + x] = 60 + 130 * (seed % 2 === 0 ? band : Math.round(band));
      }
    for (const effort of ['frame', 'photo'] as const)
      expect(
        readCodes(photograph(scene, { noise: 25, seed }), { effort, secondEngine: second }).codes,
      ).toEqual([]);
  }
});

test('what was tried is told, and nothing found is an empty list', () => {
  const { codes, attempts } = readCodes(photograph(paper(200, 150)));
  expect(codes).toEqual([]);
  expect(attempts[0]).toBe('200 × 150: qr, local');
  expect(attempts.length).toBeGreaterThan(10);
});
