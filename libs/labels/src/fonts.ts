/** Type: widths and outlines of glyphs. Font files are given by the caller, this library reads no disk. */
// eslint-disable-next-line @typescript-eslint/triple-slash-reference -- an ambient declaration cannot be imported
/// <reference path="./fontkit-types.d.ts" />
import { create } from 'fontkit';
import type { FontName } from './template.ts';

/** One step of an outline, in ems, y downwards from the baseline. */
export type OutlineStep =
  | { readonly step: 'move' | 'line'; readonly at: readonly [x: number, y: number] }
  | { readonly step: 'quad'; readonly at: readonly [cx: number, cy: number, x: number, y: number] }
  | { readonly step: 'close'; readonly at: readonly [] };

export interface Glyph {
  /** False where the font has no such letter and shows its empty box instead. */
  readonly known: boolean;
  readonly advanceEm: number;
  readonly outline: readonly OutlineStep[];
}

export interface Face {
  readonly name: FontName;
  readonly bytes: Uint8Array;
  readonly ascentEm: number;
  readonly descentEm: number;
  readonly capHeightEm: number;
  readonly glyph: (character: string) => Glyph;
}

export interface Fonts {
  readonly face: (name: FontName) => Face;
}

/**
 * Opens TrueType files, one for each font a template names. Open them once: glyphs are cached inside.
 * Text is set letter by letter without kerning or ligatures, so that every output has the same line.
 */
export function openFonts(files: Readonly<Partial<Record<FontName, Uint8Array>>>): Fonts {
  const faces = new Map<FontName, Face>();
  return {
    face: (name) => {
      const open = faces.get(name);
      if (open) return open;
      const bytes = files[name];
      if (!bytes)
        throw new RangeError(`A template uses the font "${name}", but openFonts was not given it.`);
      const face = openFace(name, bytes);
      faces.set(name, face);
      return face;
    },
  };
}

function openFace(name: FontName, bytes: Uint8Array): Face {
  const font = create(bytes);
  const em = font.unitsPerEm;
  const glyphs = new Map<string, Glyph>();
  return {
    name,
    bytes,
    ascentEm: font.ascent / em,
    descentEm: -font.descent / em,
    capHeightEm: (font.capHeight || 0.73 * em) / em,
    glyph: (character) => {
      const known = glyphs.get(character);
      if (known) return known;
      const codePoint = character.codePointAt(0) ?? 0xfffd;
      const { advanceWidth, path } = font.glyphForCodePoint(codePoint);
      const glyph = {
        known: font.hasGlyphForCodePoint(codePoint),
        advanceEm: advanceWidth / em,
        outline: outlineOf(path.commands, em),
      };
      glyphs.set(character, glyph);
      return glyph;
    },
  };
}

function outlineOf(
  commands: readonly { command: string; args: readonly number[] }[],
  em: number,
): OutlineStep[] {
  return commands.map(({ command, args }) => {
    const at = args.map((value, index) => (index % 2 === 0 ? value : -value) / em);
    const [a = 0, b = 0, c = 0, d = 0] = at;
    switch (command) {
      case 'moveTo':
        return { step: 'move', at: [a, b] };
      case 'lineTo':
        return { step: 'line', at: [a, b] };
      case 'quadraticCurveTo':
        return { step: 'quad', at: [a, b, c, d] };
      case 'closePath':
        return { step: 'close', at: [] };
      default:
        throw new RangeError(`Only TrueType outlines are read; this font draws with ${command}.`);
    }
  });
}
