import { expect, test } from 'vitest';
import type { Face } from './fonts.ts';
import { setText, textWidthMm } from './typeset.ts';

/** Every letter half an em wide, capitals 0.7 em high: widths can be reckoned in the head. */
const face: Face = {
  name: 'sans',
  bytes: new Uint8Array(),
  ascentEm: 0.9,
  descentEm: 0.2,
  capHeightEm: 0.7,
  glyph: () => ({ known: true, advanceEm: 0.5, outline: [] }),
};
const box = { widthMm: 20, heightMm: 10, sizePt: 12, minPt: 6, lines: 1, trackingEm: 0 };
const mm = (pt: number): number => (pt * 25.4) / 72;

test('width is the sum of the letters and the space between them', () => {
  expect(textWidthMm('ABCD', face, 12, 0)).toBeCloseTo(4 * 0.5 * mm(12), 9);
  expect(textWidthMm('ABCD', face, 12, 0.1)).toBeCloseTo((4 * 0.5 + 3 * 0.1) * mm(12), 9);
  expect(textWidthMm('', face, 12, 0.1)).toBe(0);
});

test('text that fits keeps its size; wider text is set smaller until it fits', () => {
  expect(setText('12345678', face, box)).toMatchObject({ sizePt: 12, cut: false });
  const twelve = setText('123456789012', face, box);
  expect(twelve.cut).toBe(false);
  expect(twelve.sizePt).toBeLessThan(12);
  expect(textWidthMm('123456789012', face, twelve.sizePt, 0)).toBeLessThanOrEqual(20);
  expect(textWidthMm('123456789012', face, twelve.sizePt + 0.25, 0)).toBeGreaterThan(20);
});

test('at the smallest size it is cut short with an ellipsis', () => {
  const { lines, cut, sizePt } = setText('x'.repeat(60), face, box);
  expect([cut, sizePt]).toEqual([true, 6]);
  expect(lines[0]?.endsWith('…')).toBe(true);
  expect(textWidthMm(lines[0] as string, face, 6, 0)).toBeLessThanOrEqual(20);
});

test('several lines break at spaces and are no more than the height holds', () => {
  const words = 'one two three four five six';
  const set = setText(words, face, { ...box, lines: 3, heightMm: 15 });
  expect(set.lines.join(' ')).toBe(words);
  expect(set.lines.length).toBeLessThanOrEqual(3);
  const low = setText(words, face, { ...box, lines: 3, heightMm: 3, minPt: 12 });
  expect(low.lines.length).toBe(1);
  expect(low.cut).toBe(true);
});
