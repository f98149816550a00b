/** A label as a list of shapes in millimetres from its top left corner: what every output is written from. */
import type { CodeSymbol } from './symbol.ts';
import type { Fonts } from './fonts.ts';
import type { FontName } from './template.ts';
import { dotsPerMm } from './units.ts';

export type Colour = 'ink' | 'paper';

export interface TextShape {
  readonly kind: 'text';
  readonly text: string;
  readonly font: FontName;
  readonly sizePt: number;
  readonly trackingEm: number;
  readonly xMm: number;
  readonly baselineMm: number;
  readonly colour: Colour;
}

export interface BarShape {
  readonly kind: 'bar';
  readonly xMm: number;
  readonly yMm: number;
  readonly widthMm: number;
  readonly heightMm: number;
}

export interface RingShape {
  readonly kind: 'ring';
  readonly xMm: number;
  readonly yMm: number;
  readonly radiusMm: number;
  readonly strokeMm: number;
}

export interface SymbolShape {
  readonly kind: 'symbol';
  readonly symbol: CodeSymbol;
  /** The area kept for the symbol, its quiet zone included. */
  readonly xMm: number;
  readonly yMm: number;
  readonly widthMm: number;
  readonly heightMm: number;
  /** The widest module that the area and the template allow. */
  readonly moduleMm: number;
  readonly align: 'left' | 'centre' | 'right';
}

/** `item`: which of the template's items it was drawn for, from 0; absent where there was none. */
export type Shape = (TextShape | BarShape | RingShape | SymbolShape) & { readonly item?: number };

export interface DrawingNote {
  readonly kind: 'text-cut' | 'text-reduced' | 'missing-glyph';
  readonly text: string;
  /** Printed size after fitting, points. */
  readonly sizePt: number;
  readonly item?: number;
}

export interface Drawing {
  readonly name: string;
  readonly widthMm: number;
  readonly heightMm: number;
  readonly disc: boolean;
  readonly cornersFreeMm: number;
  readonly readFromM: number;
  readonly shapes: readonly Shape[];
  readonly notes: readonly DrawingNote[];
  readonly fonts: Fonts;
}

export interface PlacedSymbol {
  /** Corner of the first module: the quiet zone lies outside. */
  readonly xMm: number;
  readonly yMm: number;
  readonly moduleMm: number;
  /** Height of one row: a module for QR, the whole bar for a linear code. */
  readonly rowMm: number;
  /** With a resolution: the module in dots, always whole. */
  readonly moduleDots?: number;
}

/**
 * Where a symbol's modules come to lie. With `dpi` the module is the largest whole number of dots that fits and the
 * corner is on a dot, because a module of 4.3 dots prints as bars of 4 and 5; without, the area is filled exactly.
 */
export function placeSymbol(shape: SymbolShape, dpi?: number): PlacedSymbol {
  const { symbol, widthMm, heightMm } = shape;
  const perMm = dpi === undefined ? undefined : dotsPerMm(dpi);
  const moduleDots =
    perMm === undefined ? undefined : Math.max(1, Math.floor(shape.moduleMm * perMm + 1e-6));
  const moduleMm =
    perMm === undefined || moduleDots === undefined ? shape.moduleMm : moduleDots / perMm;
  const columnsMm = symbol.columns * moduleMm;
  const rowMm = symbol.rows === 1 ? heightMm : moduleMm;
  const quietMm = symbol.quietModules * moduleMm;
  const spareMm = Math.max(0, widthMm - columnsMm - 2 * quietMm);
  const share = { left: 0, centre: 0.5, right: 1 }[shape.align];
  const snap = (mm: number): number => (perMm === undefined ? mm : Math.round(mm * perMm) / perMm);
  return {
    xMm: snap(shape.xMm + quietMm + spareMm * share),
    yMm: snap(shape.yMm + (symbol.rows === 1 ? 0 : (heightMm - symbol.rows * rowMm) / 2)),
    moduleMm,
    rowMm: symbol.rows === 1 ? snap(rowMm) : rowMm,
    ...(moduleDots === undefined ? {} : { moduleDots }),
  };
}

/** The same label with everything on it moved: a roll printer that prints a little askew is set right by this. */
export function moveDrawing(drawing: Drawing, rightMm: number, downMm: number): Drawing {
  if (rightMm === 0 && downMm === 0) return drawing;
  return {
    ...drawing,
    shapes: drawing.shapes.map((shape) =>
      shape.kind === 'text'
        ? { ...shape, xMm: shape.xMm + rightMm, baselineMm: shape.baselineMm + downMm }
        : { ...shape, xMm: shape.xMm + rightMm, yMm: shape.yMm + downMm },
    ),
  };
}
