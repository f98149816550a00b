import fc from 'fast-check';
import { expect, test } from 'vitest';
import { coveredDots, emptyBitmap, fillRectangle, inkAt, setDot, type Contour } from './raster.ts';

const circle = (x: number, y: number, radius: number, turn = 1): Contour =>
  Array.from({ length: 360 }, (_, degree) => {
    const angle = (turn * degree * Math.PI) / 180;
    return [x + radius * Math.cos(angle), y + radius * Math.sin(angle)] as const;
  });

test('a disc covers its area, a ring the difference of two', () => {
  const disc = coveredDots([circle(40, 40, 30)], 0.5).length;
  expect(Math.abs(disc / (Math.PI * 900) - 1)).toBeLessThan(0.01);
  const ring = coveredDots([circle(40, 40, 30), circle(40, 40, 20, -1)], 0.5).length;
  expect(Math.abs(ring / (Math.PI * 500) - 1)).toBeLessThan(0.02);
});

test('overlapping contours of one direction stay filled, as TrueType asks', () => {
  const two = coveredDots([circle(30, 30, 10), circle(36, 30, 10)], 0.5);
  expect(two.some(([x, y]) => x === 33 && y === 30)).toBe(true);
});

test('a rectangle on whole dots is itself', () => {
  const dots = coveredDots(
    [
      [
        [2, 3],
        [7, 3],
        [7, 5],
        [2, 5],
      ],
    ],
    0.5,
  );
  expect(dots.length).toBe(10);
  const bitmap = emptyBitmap(9, 6);
  fillRectangle(bitmap, 2, 3, 5, 2);
  for (let y = 0; y < 6; y++)
    for (let x = 0; x < 9; x++)
      expect(inkAt(bitmap, x, y)).toBe(dots.some(([dx, dy]) => dx === x && dy === y));
});

test('a filled rectangle sets its dots and no others, wherever it lies', () => {
  const place = fc.integer({ min: -5, max: 30 });
  const size = fc.integer({ min: 0, max: 30 });
  fc.assert(
    fc.property(place, place, size, size, (x, y, width, height) => {
      const bitmap = emptyBitmap(29, 11);
      fillRectangle(bitmap, x, y, width, height);
      for (let row = 0; row < 11; row++)
        for (let column = 0; column < 32; column++)
          expect(inkAt(bitmap, column, row)).toBe(
            column < 29 && column >= x && column < x + width && row >= y && row < y + height,
          );
    }),
  );
});

test('dots outside are ignored, others set and cleared', () => {
  fc.assert(
    fc.property(fc.integer({ min: -3, max: 12 }), fc.integer({ min: -3, max: 12 }), (x, y) => {
      const bitmap = emptyBitmap(10, 10);
      setDot(bitmap, x, y, true);
      const within = x >= 0 && y >= 0 && x < 10 && y < 10;
      expect(bitmap.bits.some((byte) => byte !== 0)).toBe(within);
      setDot(bitmap, x, y, false);
      expect(bitmap.bits.every((byte) => byte === 0)).toBe(true);
    }),
  );
});
