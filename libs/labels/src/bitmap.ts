/** Drawing → one-bit picture at a printer's own resolution. */
import {
  placeSymbol,
  type Drawing,
  type RingShape,
  type SymbolShape,
  type TextShape,
} from './drawing.ts';
import type { Glyph, OutlineStep } from './fonts.ts';
import {
  coveredDots,
  emptyBitmap,
  fillRectangle,
  setDot,
  type Bitmap,
  type Contour,
} from './raster.ts';
import { dotsPerMm, POINTS_PER_MM } from './units.ts';

/** Type is set slightly bold of half coverage: thin strokes then survive on a 203 dpi head. */
const TYPE_THRESHOLD = 0.42;
const CURVE_STEPS = 6;

/** Modules, rules and bars land on whole dots; nothing is ever grey. */
export function toBitmap(drawing: Drawing, dpi: number): Bitmap {
  const perMm = dotsPerMm(dpi);
  const bitmap = emptyBitmap(
    Math.round(drawing.widthMm * perMm),
    Math.round(drawing.heightMm * perMm),
  );
  for (const shape of drawing.shapes) {
    if (shape.kind === 'text') drawTextDots(bitmap, shape, drawing, perMm);
    else if (shape.kind === 'symbol') drawSymbolDots(bitmap, shape, dpi, perMm);
    else if (shape.kind === 'ring') drawRingDots(bitmap, shape, perMm);
    else {
      const [left, top] = [Math.round(shape.xMm * perMm), Math.round(shape.yMm * perMm)];
      const across = Math.max(1, Math.round((shape.xMm + shape.widthMm) * perMm) - left);
      const down = Math.max(1, Math.round((shape.yMm + shape.heightMm) * perMm) - top);
      fillRectangle(bitmap, left, top, across, down);
    }
  }
  return bitmap;
}

function drawSymbolDots(bitmap: Bitmap, shape: SymbolShape, dpi: number, perMm: number): void {
  const { symbol } = shape;
  const placed = placeSymbol(shape, dpi);
  const dots = placed.moduleDots as number;
  const left = Math.round(placed.xMm * perMm);
  const top = Math.round(placed.yMm * perMm);
  const rowDots = symbol.rows === 1 ? Math.round(placed.rowMm * perMm) : dots;
  for (let row = 0; row < symbol.rows; row++)
    for (let column = 0; column < symbol.columns; column++)
      if (symbol.modules[row * symbol.columns + column] === 1)
        fillRectangle(bitmap, left + column * dots, top + row * rowDots, dots, rowDots);
}

function drawTextDots(bitmap: Bitmap, shape: TextShape, drawing: Drawing, perMm: number): void {
  const face = drawing.fonts.face(shape.font);
  const emDots = (shape.sizePt / POINTS_PER_MM) * perMm;
  const baseline = Math.round(shape.baselineMm * perMm);
  let x = shape.xMm * perMm;
  for (const character of shape.text) {
    const glyph = face.glyph(character);
    const dots = dotsOf(glyph, emDots);
    // Each letter starts on a whole dot, so that it has the same shape wherever it stands.
    const origin = Math.round(x);
    for (const [dx, dy] of dots) setDot(bitmap, origin + dx, baseline + dy, shape.colour === 'ink');
    x += (glyph.advanceEm + shape.trackingEm) * emDots;
  }
}

/** A batch sets the same letters in the same sizes again and again. */
const dotsOfGlyphs = new WeakMap<Glyph, Map<number, readonly [number, number][]>>();

function dotsOf(glyph: Glyph, emDots: number): readonly [number, number][] {
  const sizes = dotsOfGlyphs.get(glyph) ?? new Map<number, readonly [number, number][]>();
  dotsOfGlyphs.set(glyph, sizes);
  const dots = sizes.get(emDots) ?? coveredDots(flatten(glyph.outline, emDots), TYPE_THRESHOLD);
  sizes.set(emDots, dots);
  return dots;
}

function drawRingDots(bitmap: Bitmap, ring: RingShape, perMm: number): void {
  const circle = (radius: number, turn: 1 | -1): Contour =>
    Array.from({ length: 180 }, (_, index) => {
      const angle = (turn * index * Math.PI) / 90;
      return [
        (ring.xMm + radius * Math.cos(angle)) * perMm,
        (ring.yMm + radius * Math.sin(angle)) * perMm,
      ] as const;
    });
  const half = Math.max(ring.strokeMm, 1 / perMm) / 2;
  const contours = [circle(ring.radiusMm + half, 1), circle(ring.radiusMm - half, -1)];
  for (const [x, y] of coveredDots(contours, 0.5)) setDot(bitmap, x, y, true);
}

function flatten(outline: readonly OutlineStep[], scale: number): Contour[] {
  const contours: [number, number][][] = [];
  let current: [number, number][] = [];
  for (const { step, at } of outline) {
    const [a = 0, b = 0, c = 0, d = 0] = at.map((value) => value * scale);
    if (step === 'move') contours.push((current = [[a, b]]));
    else if (step === 'line') current.push([a, b]);
    else if (step === 'quad') {
      const [x, y] = current.at(-1) as [number, number];
      for (let index = 1; index <= CURVE_STEPS; index++) {
        const t = index / CURVE_STEPS;
        const s = 1 - t;
        current.push([
          s * s * x + 2 * s * t * a + t * t * c,
          s * s * y + 2 * s * t * b + t * t * d,
        ]);
      }
    }
  }
  return contours;
}
