/** What should be said before a label is printed. */
import {
  placeSymbol,
  type Drawing,
  type Shape,
  type SymbolShape,
  type TextShape,
} from './drawing.ts';
import type { QrLevel } from './symbol.ts';
import { dotsPerMm, POINTS_PER_MM } from './units.ts';

export interface Printing {
  readonly dpi: number;
  /** Width of the print head; about 104 mm on the usual four-inch printers. */
  readonly printerWidthMm?: number;
}

export type WarningKind =
  | 'module-too-few-dots'
  | 'quiet-zone'
  | 'reading-distance'
  | 'low-error-correction'
  | 'wider-than-printer'
  | 'outside-label'
  | 'on-corner'
  | 'small-type'
  | 'text-cut'
  | 'missing-glyph'
  | 'gs1-128-too-long';

export interface LabelWarning {
  readonly kind: WarningKind;
  readonly message: string;
  /** The template's item that it is about, from 0; absent where it is about the label as a whole. */
  readonly item?: number;
}

export interface SymbolReport {
  readonly symbology: SymbolShape['symbol']['symbology'];
  readonly text: string;
  readonly moduleMm: number;
  readonly moduleDots: number;
  /** Side or length, quiet zone included. */
  readonly widthMm: number;
  readonly columns: number;
  /** Empty margin around it, mm. */
  readonly quietZoneMm: number;
  readonly level?: QrLevel;
  readonly item?: number;
  readonly readingDistanceM: { readonly video1080p: number; readonly photo12Megapixel: number };
}

export interface Preflight {
  readonly symbols: readonly SymbolReport[];
  readonly warnings: readonly LabelWarning[];
}

/** DENSO WAVE, qrcode.com/en/howto/cell.html: "each module is made up of 4 or more dots". */
const LEAST_QR_DOTS = 4;
/** Below three dots a linear module loses its width to one dot of spread; common practice, no published source. */
const LEAST_LINEAR_DOTS = 3;
/** Metres from which a module of 1 mm is read: measured with a phone's view of about 65° at 3 px a module. */
const METRES_PER_MODULE_MM = { video1080p: 0.504, photo12Megapixel: 1.058 };
const SMALLEST_TYPE_PT = 5;
const LONGEST_GS1_128_MM = 165;

export function preflight(drawing: Drawing, printing: Printing): Preflight {
  const warnings: LabelWarning[] = [];
  const warnOf =
    (item: number | undefined): Warn =>
    (kind, message) =>
      void warnings.push({ kind, message, ...(item === undefined ? {} : { item }) });
  const symbols = drawing.shapes.filter((shape) => shape.kind === 'symbol');
  const reports = symbols.map((shape) => report(shape, printing.dpi));

  for (const [index, shape] of symbols.entries()) {
    const { moduleDots, widthMm, symbology, text } = reports[index] as SymbolReport;
    const warn = warnOf(shape.item);
    const least = symbology === 'qr' ? LEAST_QR_DOTS : LEAST_LINEAR_DOTS;
    if (moduleDots < least)
      warn(
        'module-too-few-dots',
        `${text}: a module is ${moduleDots} dots at ${printing.dpi} dpi; ${least} or more read reliably. Make the code larger, shorten its text or use a finer printer.`,
      );
    if (widthMm > shape.widthMm + 0.01)
      warn(
        'quiet-zone',
        `${text}: even at one dot a module the code is ${widthMm.toFixed(1)} mm wide, its place ${shape.widthMm.toFixed(1)} mm.`,
      );
    const intruder = drawing.shapes.find(
      (other) => other !== shape && intrudes(drawing, other, shape, printing.dpi),
    );
    if (intruder)
      warn(
        'quiet-zone',
        `${text}: something stands in the empty margin of ${shape.symbol.quietModules} modules that the code needs around it.`,
      );
    if (shape.symbol.level === 'L' || shape.symbol.level === 'M')
      warn(
        'low-error-correction',
        `${text}: level ${shape.symbol.level} bears little damage; use Q or H in a warehouse.`,
      );
    if (symbology === 'gs1-128' && widthMm > LONGEST_GS1_128_MM)
      warn(
        'gs1-128-too-long',
        `${text}: ${widthMm.toFixed(0)} mm long; GS1-128 ends at ${LONGEST_GS1_128_MM} mm.`,
      );
  }
  const farthest = Math.max(0, ...reports.map((each) => each.readingDistanceM.video1080p));
  if (symbols.length > 0 && farthest < drawing.readFromM)
    warnOf(undefined)(
      'reading-distance',
      `A phone's camera reads it from ${farthest.toFixed(2)} m; ${drawing.readFromM} m is wanted.`,
    );
  if (printing.printerWidthMm !== undefined && drawing.widthMm > printing.printerWidthMm)
    warnOf(undefined)(
      'wider-than-printer',
      `The label is ${drawing.widthMm} mm wide, the printer prints ${printing.printerWidthMm} mm.`,
    );
  for (const shape of drawing.shapes) checkPlace(drawing, shape, printing.dpi, warnOf(shape.item));
  checkType(drawing, warnOf);
  return { symbols: reports, warnings };
}

type Warn = (kind: WarningKind, message: string) => void;

function report(shape: SymbolShape & { readonly item?: number }, dpi: number): SymbolReport {
  const { symbol } = shape;
  const { moduleMm, moduleDots = 0 } = placeSymbol(shape, dpi);
  return {
    symbology: symbol.symbology,
    text: symbol.text,
    moduleMm,
    moduleDots,
    widthMm: (symbol.columns + 2 * symbol.quietModules) * moduleMm,
    columns: symbol.columns,
    quietZoneMm: symbol.quietModules * moduleMm,
    ...(symbol.level === undefined ? {} : { level: symbol.level }),
    ...(shape.item === undefined ? {} : { item: shape.item }),
    readingDistanceM: {
      video1080p: moduleMm * METRES_PER_MODULE_MM.video1080p,
      photo12Megapixel: moduleMm * METRES_PER_MODULE_MM.photo12Megapixel,
    },
  };
}

interface Extent {
  readonly left: number;
  readonly top: number;
  readonly right: number;
  readonly bottom: number;
}

/** The inked extent; for a symbol its modules, with `quiet` the empty margin too. */
function extentOf(drawing: Drawing, shape: Shape, dpi: number, quiet = false): Extent {
  switch (shape.kind) {
    case 'bar':
      return {
        left: shape.xMm,
        top: shape.yMm,
        right: shape.xMm + shape.widthMm,
        bottom: shape.yMm + shape.heightMm,
      };
    case 'ring': {
      const reach = shape.radiusMm + shape.strokeMm / 2;
      return {
        left: shape.xMm - reach,
        top: shape.yMm - reach,
        right: shape.xMm + reach,
        bottom: shape.yMm + reach,
      };
    }
    case 'text':
      return inkOf(shape, drawing);
    case 'symbol': {
      const placed = placeSymbol(shape, dpi);
      const margin = quiet ? shape.symbol.quietModules * placed.moduleMm : 0;
      const vertical = shape.symbol.rows === 1 ? 0 : margin;
      return {
        left: placed.xMm - margin,
        top: placed.yMm - vertical,
        right: placed.xMm + shape.symbol.columns * placed.moduleMm + margin,
        bottom: placed.yMm + shape.symbol.rows * placed.rowMm + vertical,
      };
    }
  }
}

/** From the outlines themselves: capitals and figures do not reach below the line. */
function inkOf(shape: TextShape, drawing: Drawing): Extent {
  const face = drawing.fonts.face(shape.font);
  const em = shape.sizePt / POINTS_PER_MM;
  const [xs, ys]: [number[], number[]] = [[], []];
  let x = 0;
  for (const character of shape.text) {
    const glyph = face.glyph(character);
    for (const { at } of glyph.outline)
      for (const [index, value] of at.entries())
        if (index % 2 === 0) xs.push(x + value);
        else ys.push(value);
    x += glyph.advanceEm + shape.trackingEm;
  }
  return {
    left: shape.xMm + Math.min(0, ...xs) * em,
    right: shape.xMm + Math.max(0, ...xs) * em,
    top: shape.baselineMm + Math.min(0, ...ys) * em,
    bottom: shape.baselineMm + Math.max(0, ...ys) * em,
  };
}

const TOUCH_MM = 0.02;

function intrudes(drawing: Drawing, other: Shape, symbol: SymbolShape, dpi: number): boolean {
  const zone = extentOf(drawing, symbol, dpi, true);
  // A ring's box says little about where its line runs: it intrudes when the farthest corner is not well inside it.
  if (other.kind === 'ring') return !insideCircle(zone, other, other.radiusMm - other.strokeMm / 2);
  return overlap(extentOf(drawing, other, dpi), zone);
}

const overlap = (a: Extent, b: Extent): boolean =>
  a.left < b.right - TOUCH_MM &&
  b.left < a.right - TOUCH_MM &&
  a.top < b.bottom - TOUCH_MM &&
  b.top < a.bottom - TOUCH_MM;

function insideCircle(
  extent: Extent,
  centre: { xMm: number; yMm: number },
  radiusMm: number,
): boolean {
  const farX = Math.max(Math.abs(extent.left - centre.xMm), Math.abs(extent.right - centre.xMm));
  const farY = Math.max(Math.abs(extent.top - centre.yMm), Math.abs(extent.bottom - centre.yMm));
  return Math.hypot(farX, farY) <= radiusMm + TOUCH_MM;
}

function checkPlace(drawing: Drawing, shape: Shape, dpi: number, warn: Warn): void {
  const extent = extentOf(drawing, shape, dpi, true);
  const { widthMm, heightMm, cornersFreeMm } = drawing;
  const centre = { xMm: widthMm / 2, yMm: heightMm / 2 };
  const name =
    shape.kind === 'text'
      ? `"${shape.text}"`
      : shape.kind === 'symbol'
        ? shape.symbol.text
        : `A ${shape.kind}`;
  const inside =
    drawing.disc && shape.kind !== 'ring'
      ? insideCircle(extent, centre, Math.min(widthMm, heightMm) / 2)
      : extent.left >= -TOUCH_MM &&
        extent.top >= -TOUCH_MM &&
        extent.right <= widthMm + TOUCH_MM &&
        extent.bottom <= heightMm + TOUCH_MM;
  if (!inside) warn('outside-label', `${name} reaches beyond the label's edge.`);
  if (cornersFreeMm === 0) return;
  const beside =
    extent.left < cornersFreeMm - TOUCH_MM || extent.right > widthMm - cornersFreeMm + TOUCH_MM;
  const above =
    extent.top < cornersFreeMm - TOUCH_MM || extent.bottom > heightMm - cornersFreeMm + TOUCH_MM;
  if (beside && above) warn('on-corner', `${name} lies where a staple or tack goes.`);
}

function checkType(drawing: Drawing, warnOf: (item: number | undefined) => Warn): void {
  for (const { kind, text, sizePt, item } of drawing.notes) {
    const warn = warnOf(item);
    if (kind === 'text-cut') warn('text-cut', `"${text}" does not fit and is cut short.`);
    if (kind === 'missing-glyph')
      warn('missing-glyph', `The font has not every letter of "${text}".`);
    if (kind === 'text-reduced' && sizePt < SMALLEST_TYPE_PT)
      warn('small-type', `"${text}" is set in ${sizePt} points.`);
  }
}

/** The largest module, mm, that a resolution prints in whole dots within `wantedMm`. */
export const wholeDotModuleMm = (wantedMm: number, dpi: number): number =>
  Math.floor(wantedMm * dotsPerMm(dpi) + 1e-6) / dotsPerMm(dpi);
