/** SVG in true millimetres. Type is drawn as outlines: it looks the same wherever it is opened and needs no font there. */
import {
  placeSymbol,
  type Drawing,
  type Shape,
  type SymbolShape,
  type TextShape,
} from './drawing.ts';
import type { Glyph } from './fonts.ts';
import { outlineModules } from './symbol.ts';
import { POINTS_PER_MM } from './units.ts';

export interface SvgOptions {
  /** Set modules to whole dots of this resolution; without it they fill their area exactly. */
  readonly dpi?: number;
  /** What a screen reader says; the drawing's name when not given. */
  readonly title?: string;
}

export function toSvg(drawing: Drawing, { dpi, title = drawing.name }: SvgOptions = {}): string {
  const { widthMm, heightMm, fonts } = drawing;
  const paths = drawing.shapes.map((shape) => {
    if (shape.kind === 'text') return textPath(shape, fonts.face(shape.font).glyph);
    return shape.kind === 'symbol' ? symbolPath(shape, dpi) : solid(shape);
  });
  const paper = drawing.disc
    ? `<circle cx="${n(widthMm / 2)}" cy="${n(heightMm / 2)}" r="${n(Math.min(widthMm, heightMm) / 2)}" fill="#fff"/>`
    : `<path d="M0 0h${n(widthMm)}v${n(heightMm)}H0z" fill="#fff"/>`;
  return (
    `<svg xmlns="http://www.w3.org/2000/svg" width="${n(widthMm)}mm" height="${n(heightMm)}mm" ` +
    `viewBox="0 0 ${n(widthMm)} ${n(heightMm)}" role="img"><title>${escape(title)}</title>${paper}${paths.join('')}</svg>`
  );
}

function solid(shape: Exclude<Shape, TextShape | SymbolShape>): string {
  if (shape.kind === 'ring')
    return `<circle cx="${n(shape.xMm)}" cy="${n(shape.yMm)}" r="${n(shape.radiusMm)}" fill="none" stroke="#000" stroke-width="${n(shape.strokeMm)}"/>`;
  return `<path d="M${n(shape.xMm)} ${n(shape.yMm)}h${n(shape.widthMm)}v${n(shape.heightMm)}h${n(-shape.widthMm)}z"/>`;
}

function symbolPath(shape: SymbolShape, dpi: number | undefined): string {
  const { xMm, yMm, moduleMm, rowMm } = placeSymbol(shape, dpi);
  let data = '';
  for (const corners of outlineModules(shape.symbol)) {
    data += `M${corners[0]} ${corners[1]}`;
    for (let at = 2; at < corners.length; at += 2)
      data += corners[at] === corners[at - 2] ? `V${corners[at + 1]}` : `H${corners[at]}`;
    data += 'z';
  }
  return `<path fill-rule="evenodd" shape-rendering="crispEdges" transform="matrix(${exact(moduleMm)} 0 0 ${exact(rowMm)} ${exact(xMm)} ${exact(yMm)})" d="${data}"/>`;
}

function textPath(shape: TextShape, glyphOf: (character: string) => Glyph): string {
  const em = shape.sizePt / POINTS_PER_MM;
  let x = shape.xMm;
  let data = '';
  for (const character of shape.text) {
    const glyph = glyphOf(character);
    for (const { step, at } of glyph.outline) {
      const points = at.map((value, index) =>
        n((index % 2 === 0 ? x : shape.baselineMm) + value * em),
      );
      data += { move: 'M', line: 'L', quad: 'Q', close: 'z' }[step] + points.join(' ');
    }
    x += (glyph.advanceEm + shape.trackingEm) * em;
  }
  return `<path${shape.colour === 'paper' ? ' fill="#fff"' : ''} d="${data}"/>`;
}

/** To a thousandth of a millimetre. */
const n = (value: number): string => String(Math.round(value * 1e3) / 1e3);
/** For what is multiplied by the number of modules. */
const exact = (value: number): string => String(Math.round(value * 1e7) / 1e7);

const escape = (text: string): string =>
  text.replace(/[<>&"]/g, (character) => `&#${character.charCodeAt(0)};`);
