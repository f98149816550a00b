/** Setting a text into its box: as large as wanted, smaller when it must be, cut short only at the smallest size. */
import type { Face } from './fonts.ts';
import { POINTS_PER_MM } from './units.ts';

const LEADING_EM = 1.22;
const STEP_PT = 0.25;

export interface Box {
  readonly widthMm: number;
  readonly heightMm: number;
  readonly sizePt: number;
  readonly minPt: number;
  readonly lines: number;
  readonly trackingEm: number;
}

export interface SetText {
  readonly lines: readonly string[];
  readonly sizePt: number;
  readonly leadingMm: number;
  readonly capHeightMm: number;
  readonly cut: boolean;
}

/**
 * A box is measured from the top of the capitals of the first line to the baseline of the last, so that type lines up with
 * rules and codes; descenders hang below.
 */
export function setText(text: string, face: Face, box: Box): SetText {
  for (let sizePt = largest(text, face, box); ; sizePt = Math.max(box.minPt, sizePt - STEP_PT)) {
    const lines = wrap(text, face, box, sizePt);
    const leadingMm = (LEADING_EM * sizePt) / POINTS_PER_MM;
    const capHeightMm = (face.capHeightEm * sizePt) / POINTS_PER_MM;
    const room = Math.max(
      1,
      Math.min(box.lines, 1 + Math.floor((box.heightMm - capHeightMm) / leadingMm + 1e-9)),
    );
    const set = { sizePt, leadingMm, capHeightMm };
    const wide = lines.some(
      (line) => textWidthMm(line, face, sizePt, box.trackingEm) > box.widthMm,
    );
    if (!wide && lines.length <= room && capHeightMm <= box.heightMm + 1e-9)
      return { ...set, lines, cut: false };
    if (sizePt <= box.minPt) {
      const kept = lines.slice(0, room);
      const last = kept.length - 1;
      const cut = kept.map((line, index) => {
        const more = index === last && lines.length > room;
        return shorten(more ? `${line}…` : line, face, box, sizePt);
      });
      return { ...set, lines: cut, cut: true };
    }
  }
}

/** Where to begin: for a single line the answer itself, since its width grows with its size. */
function largest(text: string, face: Face, box: Box): number {
  if (box.lines > 1) return box.sizePt;
  const byWidth = box.widthMm / textWidthMm(text, face, 1, box.trackingEm);
  const byHeight = (box.heightMm * POINTS_PER_MM) / face.capHeightEm;
  const fitting = Math.floor(Math.min(byWidth, byHeight) / STEP_PT) * STEP_PT;
  return Math.min(box.sizePt, Math.max(box.minPt, fitting));
}

export function textWidthMm(text: string, face: Face, sizePt: number, trackingEm: number): number {
  let em = 0;
  let count = 0;
  for (const character of text) {
    em += face.glyph(character).advanceEm + trackingEm;
    count++;
  }
  return ((em - (count > 0 ? trackingEm : 0)) * sizePt) / POINTS_PER_MM;
}

/** Breaks at spaces, as few lines as the width allows; a word that is too long stays whole. */
function wrap(text: string, face: Face, box: Box, sizePt: number): string[] {
  if (box.lines === 1) return [text.replace(/\s+/g, ' ').trim()];
  const lines: string[] = [];
  for (const paragraph of text.split('\n')) {
    let line = '';
    for (const word of paragraph.split(/\s+/).filter(Boolean)) {
      const longer = line === '' ? word : `${line} ${word}`;
      if (line === '' || textWidthMm(longer, face, sizePt, box.trackingEm) <= box.widthMm)
        line = longer;
      else {
        lines.push(line);
        line = word;
      }
    }
    if (line !== '') lines.push(line);
  }
  return lines;
}

function shorten(line: string, face: Face, box: Box, sizePt: number): string {
  const fits = (candidate: string): boolean =>
    textWidthMm(candidate, face, sizePt, box.trackingEm) <= box.widthMm;
  if (fits(line)) return line;
  const letters = [...line.replace(/…$/, '')];
  while (letters.length > 0 && !fits(`${letters.join('').trimEnd()}…`)) letters.pop();
  return `${letters.join('').trimEnd()}…`;
}
