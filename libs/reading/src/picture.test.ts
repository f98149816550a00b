import fc from 'fast-check';
import { expect, test } from 'vitest';
import { blur, enlarge, sharpen, shrink, toLuminance, type Luminance } from './picture.ts';

const grey = (
  width: number,
  height: number,
  value: (x: number, y: number) => number,
): Luminance => ({
  data: Uint8ClampedArray.from({ length: width * height }, (_, at) =>
    value(at % width, Math.floor(at / width)),
  ),
  width,
  height,
});
const mean = ({ data }: Luminance): number =>
  data.reduce((sum, value) => sum + value, 0) / data.length;

// ITU-R BT.601: Y = 0.299 R + 0.587 G + 0.114 B.
test.each([
  [[255, 255, 255], 255],
  [[255, 0, 0], 76],
  [[0, 255, 0], 150],
  [[0, 0, 255], 29],
])('%o has brightness %d', ([r = 0, g = 0, b = 0], light) => {
  const { data } = toLuminance({ data: Uint8Array.of(r, g, b, 255), width: 1, height: 1 });
  expect(data[0]).toBeGreaterThanOrEqual(light - 1);
  expect(data[0]).toBeLessThanOrEqual(light + 1);
});

test('brightness given as such is taken without copying; a wrong size is refused', () => {
  const data = new Uint8Array(12);
  expect(toLuminance({ data, width: 4, height: 3 }).data.buffer).toBe(data.buffer);
  expect(() => toLuminance({ data, width: 4, height: 4 })).toThrow(RangeError);
});

test('shrinking keeps the mean brightness and the shape', () => {
  fc.assert(
    fc.property(
      fc.integer({ min: 20, max: 90 }),
      fc.integer({ min: 20, max: 90 }),
      fc.nat(255),
      (w, h, seed) => {
        const picture = grey(w, h, (x, y) => (x * 37 + y * 91 + seed * (x ^ y)) % 256);
        const small = shrink(picture, 20);
        expect(Math.max(small.width, small.height)).toBe(20);
        expect(Math.abs(small.height - (h * small.width) / w)).toBeLessThanOrEqual(h > w ? 3 : 1);
        expect(Math.abs(mean(small) - mean(picture))).toBeLessThan(12);
      },
    ),
  );
  const flat = grey(64, 48, () => 77);
  expect(new Set(shrink(flat, 32).data)).toEqual(new Set([77]));
  expect(shrink(flat, 64)).toBe(flat);
});

test('an edge gets softer by blurring, steeper by sharpening, and keeps its place when enlarged', () => {
  const edge = grey(16, 8, (x) => (x < 7 ? 60 : x > 8 ? 180 : 120));
  const row = (picture: Luminance): number[] => [
    ...picture.data.subarray(picture.width * 4, picture.width * 5),
  ];
  expect(row(blur(edge))[6]).toBeGreaterThan(60);
  expect(row(sharpen(edge))[6]).toBeLessThan(60);
  const large = row(enlarge(edge, 2));
  expect(large[12]).toBeLessThan(120);
  expect(large[19]).toBeGreaterThan(120);
});
