/**
 * What is printed once before the stock is used: the label's outline, a rule in millimetres across and down, and which place
 * of a sheet it is. Laid over the stock, or measured, it says by how much a printer is to be moved.
 */
import type { BarShape, Drawing, RingShape, Shape, TextShape } from './drawing.ts';
import type { Fonts } from './fonts.ts';
import { toPdf } from './pdf.ts';
import type { SheetAdjustment } from './sheet.ts';
import type { Template } from './template.ts';
import { setText, textWidthMm } from './typeset.ts';

/** Thin enough to be measured from, thick enough for every head. */
const LINE_MM = 0.2;
const TYPE_PT = 9;

export interface TestPrint {
  readonly fonts: Fonts;
  readonly adjust?: SheetAdjustment;
  readonly dpi?: number;
}

/** The test sheet of a template: a page full of test labels with a 100 mm rule, or for a roll one test label. */
export function toTestSheet(template: Template, print: TestPrint): Promise<Uint8Array> {
  const { sheet } = template;
  const { fonts, adjust = {}, dpi } = print;
  const places = sheet ? sheet.columns * sheet.rows : 1;
  const labels = Array.from({ length: places }, (_, index) =>
    testLabel(template, fonts, sheet ? index + 1 : undefined),
  );
  return toPdf(labels, {
    ...(sheet ? { sheet, checkRule: true } : {}),
    ...(dpi === undefined ? {} : { dpi }),
    adjust,
    title: `${sheet?.name ?? template.name}: test page`,
  });
}

/** One test label; `place` is its number on a sheet. */
export function testLabel(template: Template, fonts: Fonts, place?: number): Drawing {
  const { widthMm, heightMm, name } = template;
  const shapes: Shape[] =
    template.shape === 'disc' ? [ringAtEdge(template)] : outline(widthMm, heightMm);
  const acrossMm = wholeCentimetres(widthMm);
  const downMm = wholeCentimetres(heightMm);
  // On a disc only the middle is as high as the rule; its words then stand beside it.
  const downAtMm = template.shape === 'disc' ? widthMm / 2 : Math.max(4, widthMm * 0.12);
  const centreMm = template.shape === 'disc' ? widthMm * 0.74 : widthMm / 2;
  shapes.push(...ruleAcross(widthMm, heightMm, acrossMm), ...ruleDown(downAtMm, heightMm, downMm));
  const centred = (words: string, yMm: number, sizePt: number): TextShape =>
    textAt(words, fonts, { yMm, sizePt, centreMm, widthMm: widthMm * 0.4 });
  const below = heightMm / 2 + 5;
  if (place !== undefined) shapes.push(centred(String(place), heightMm / 2 - 3, 20));
  shapes.push(
    centred(`across: ${String(acrossMm)} mm`, below, TYPE_PT),
    centred(`down: ${String(downMm)} mm`, below + 4, TYPE_PT),
  );
  return {
    name: `${name}: test`,
    widthMm,
    heightMm,
    disc: template.shape === 'disc',
    cornersFreeMm: 0,
    readFromM: 0,
    shapes,
    notes: [],
    fonts,
  };
}

/** The longest rule of whole centimetres that leaves 5 mm at either end. */
const wholeCentimetres = (mm: number): number =>
  Math.max(10, Math.min(100, 10 * Math.floor((mm - 10) / 10)));

const bar = (xMm: number, yMm: number, widthMm: number, heightMm: number): BarShape => ({
  kind: 'bar',
  xMm,
  yMm,
  widthMm,
  heightMm,
});

/** Its outer edge is the label's edge. */
const outline = (width: number, height: number): BarShape[] => [
  bar(0, 0, width, LINE_MM),
  bar(0, height - LINE_MM, width, LINE_MM),
  bar(0, 0, LINE_MM, height),
  bar(width - LINE_MM, 0, LINE_MM, height),
];

function ringAtEdge({ widthMm, heightMm }: Template): RingShape {
  const radiusMm = Math.min(widthMm, heightMm) / 2 - LINE_MM / 2;
  return { kind: 'ring', xMm: widthMm / 2, yMm: heightMm / 2, radiusMm, strokeMm: LINE_MM };
}

/** From the outer edge of the first tick to the outer edge of the last it is as long as it says; a tick every 10 mm. */
function ruleAcross(width: number, height: number, length: number): BarShape[] {
  const [left, y] = [(width - length) / 2, height / 2];
  return [
    bar(left, y, length, LINE_MM),
    ...ticks(length).map(({ at, long }) => bar(left + at, y - long, LINE_MM, 2 * long)),
  ];
}

function ruleDown(x: number, height: number, length: number): BarShape[] {
  const top = (height - length) / 2;
  return [
    bar(x, top, LINE_MM, length),
    ...ticks(length).map(({ at, long }) => bar(x - long, top + at, 2 * long, LINE_MM)),
  ];
}

const ticks = (length: number): { at: number; long: number }[] =>
  Array.from({ length: length / 10 + 1 }, (_, index) => ({
    at: (index * 10 * (length - LINE_MM)) / length,
    long: index % 5 === 0 ? 2 : 1.2,
  }));

function textAt(
  text: string,
  fonts: Fonts,
  place: { yMm: number; sizePt: number; centreMm: number; widthMm: number },
): TextShape {
  const face = fonts.face('sans');
  const { sizePt } = setText(text, face, {
    sizePt: place.sizePt,
    minPt: 4,
    lines: 1,
    widthMm: place.widthMm,
    heightMm: 20,
    trackingEm: 0,
  });
  return {
    kind: 'text',
    text,
    font: 'sans',
    sizePt,
    trackingEm: 0,
    xMm: place.centreMm - textWidthMm(text, face, sizePt, 0) / 2,
    baselineMm: place.yMm,
    colour: 'ink',
  };
}
