/** The few parts of fontkit used here; its published types would bring Node's along. */
declare module 'fontkit' {
  export interface FontkitFont {
    readonly unitsPerEm: number;
    readonly ascent: number;
    readonly descent: number;
    readonly capHeight: number;
    hasGlyphForCodePoint(codePoint: number): boolean;
    glyphForCodePoint(codePoint: number): {
      readonly advanceWidth: number;
      readonly path: { readonly commands: readonly { command: string; args: readonly number[] }[] };
    };
  }
  export function create(bytes: Uint8Array): FontkitFont;
}
