/** What the engines hand back. */

/** The first three are read by both engines, the others by the second alone: codes that others have put on a cask. */
export const FORMATS = ['qr', 'code128', 'code39', 'datamatrix', 'itf', 'ean13'] as const;
export type Format = (typeof FORMATS)[number];

export interface Point {
  readonly x: number;
  readonly y: number;
}

export interface FoundCode {
  /** Exactly what the symbol holds; in GS1 data FNC1 between elements is GS (0x1D). */
  readonly text: string;
  readonly format: Format;
  /** AIM identifier such as `]C1`, where the engine can tell. */
  readonly symbologyIdentifier?: string;
  /** Around the symbol, in pixels of the picture given; a linear code's are the two ends of the line it was read on. */
  readonly corners: readonly Point[];
  readonly engine: 'first' | 'second';
}

export const scaleCode = (code: FoundCode, factor: number): FoundCode =>
  factor === 1
    ? code
    : { ...code, corners: code.corners.map(({ x, y }) => ({ x: x * factor, y: y * factor })) };

/** One of each: two engines and several looks find the same code again. */
export function mergeCodes(codes: readonly FoundCode[]): FoundCode[] {
  const merged = new Map<string, FoundCode>();
  for (const code of codes) {
    const key = `${code.format} ${code.text}`;
    const known = merged.get(key);
    // The same text read twice stays one code; a symbology identifier is worth keeping.
    if (!known) merged.set(key, code);
    else if (known.symbologyIdentifier === undefined && code.symbologyIdentifier !== undefined)
      merged.set(key, { ...known, symbologyIdentifier: code.symbologyIdentifier });
  }
  return [...merged.values()];
}
