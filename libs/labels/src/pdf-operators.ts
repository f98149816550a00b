/** One label as PDF content operators (ISO 32000-1 annex A). */
import {
  placeSymbol,
  type Drawing,
  type RingShape,
  type Shape,
  type SymbolShape,
  type TextShape,
} from './drawing.ts';
import { outlineModules } from './symbol.ts';
import type { FontName } from './template.ts';
import { POINTS_PER_MM } from './units.ts';

export interface FontUse {
  /** Name in the page's resources. */
  readonly key: string;
  /** A character as the hexadecimal code the embedded font gives it. */
  readonly encode: (character: string) => string;
}

export interface Frame {
  /** Where the label's left edge lies on the page, and its top edge from the page's foot. */
  readonly leftMm: number;
  readonly bottomMm: number;
  readonly dpi: number;
  readonly fonts: ReadonlyMap<FontName, FontUse>;
}

export function labelOperators(drawing: Drawing, frame: Frame): string {
  return drawing.shapes.map((shape) => operatorsOf(shape, frame)).join('\n');
}

function operatorsOf(shape: Shape, frame: Frame): string {
  switch (shape.kind) {
    case 'text':
      return textOperators(shape, frame);
    case 'symbol':
      return symbolOperators(shape, frame);
    case 'ring':
      return ringOperators(shape, frame);
    case 'bar': {
      const { xMm, yMm, widthMm, heightMm } = shape;
      return `${x(xMm, frame)} ${y(yMm + heightMm, frame)} ${pt(widthMm)} ${pt(heightMm)} re f`;
    }
  }
}

function textOperators(shape: TextShape, frame: Frame): string {
  const use = frame.fonts.get(shape.font);
  if (!use) throw new RangeError(`The font "${shape.font}" was not embedded.`);
  const codes = [...shape.text].map(use.encode).join('');
  const spacing = round(shape.trackingEm * shape.sizePt);
  const text = `BT /${use.key} ${shape.sizePt} Tf ${spacing} Tc ${x(shape.xMm, frame)} ${y(shape.baselineMm, frame)} Td <${codes}> Tj ET`;
  return shape.colour === 'paper' ? `1 g ${text} 0 g` : text;
}

/** In a frame whose unit is the module: whole numbers are short to write and to pack. */
function symbolOperators(shape: SymbolShape, frame: Frame): string {
  const { xMm, yMm, moduleMm, rowMm } = placeSymbol(shape, frame.dpi);
  let operators = `q ${pt(moduleMm)} 0 0 ${-pt(rowMm)} ${x(xMm, frame)} ${y(yMm, frame)} cm\n`;
  for (const corners of outlineModules(shape.symbol)) {
    operators += `${corners[0]} ${corners[1]} m`;
    for (let at = 2; at < corners.length; at += 2)
      operators += ` ${corners[at]} ${corners[at + 1]} l`;
    operators += ' h\n';
  }
  return `${operators}f* Q`;
}

/** Distance of a cubic's control points that brings it closest to a quarter circle. */
const QUARTER = 0.5522847498;

function ringOperators({ xMm, yMm, radiusMm, strokeMm }: RingShape, frame: Frame): string {
  const at = (dx: number, dy: number): string =>
    `${x(xMm + dx * radiusMm, frame)} ${y(yMm + dy * radiusMm, frame)}`;
  const quarters = [
    [1, 0, 0, 1],
    [0, 1, -1, 0],
    [-1, 0, 0, -1],
    [0, -1, 1, 0],
  ].map(([fromX = 0, fromY = 0, toX = 0, toY = 0]) => {
    const first = at(fromX + QUARTER * toX, fromY + QUARTER * toY);
    const second = at(toX + QUARTER * fromX, toY + QUARTER * fromY);
    return `${first} ${second} ${at(toX, toY)} c`;
  });
  return `${pt(strokeMm)} w ${at(1, 0)} m ${quarters.join(' ')} s`;
}

/** To a millionth of a point: rounding must not add up over a symbol's modules. */
const round = (value: number): number => Math.round(value * 1e6) / 1e6;
const pt = (mm: number): number => round(mm * POINTS_PER_MM);
const x = (mm: number, frame: Frame): number => pt(frame.leftMm + mm);
const y = (mm: number, frame: Frame): number => pt(frame.bottomMm - mm);
