/** QR and linear symbols as grids of modules, by bwip-js. */
import bwipjs from 'bwip-js/generic';

export type Symbology = 'qr' | 'code128' | 'gs1-128';
export type QrLevel = 'L' | 'M' | 'Q' | 'H';

export interface CodeSymbol {
  readonly symbology: Symbology;
  /** What a reader should give back; GS1 data in brackets. */
  readonly text: string;
  readonly level?: QrLevel;
  readonly columns: number;
  /** 1 for a linear code. */
  readonly rows: number;
  /** Row by row, 1 is dark. */
  readonly modules: Uint8Array;
  /** Empty modules needed on each side: 4 for QR (ISO/IEC 18004), 10 for Code 128 (ISO/IEC 15417). */
  readonly quietModules: number;
}

export function makeQr(text: string, level: QrLevel): CodeSymbol {
  const [raw] = encode('qrcode', text, { eclevel: level });
  if (!raw || !('pixs' in raw)) throw new RangeError(`"${text}" gave no QR code.`);
  return {
    symbology: 'qr',
    text,
    level,
    columns: raw.pixx,
    rows: raw.pixy,
    modules: Uint8Array.from(raw.pixs),
    quietModules: 4,
  };
}

/** Code 128; for `gs1-128` the text is an element string in brackets, `(8004)9521321C00006E4`. */
export function makeLinear(symbology: 'code128' | 'gs1-128', text: string): CodeSymbol {
  const foreign = [...text].find((character) => character < ' ' || character > '~');
  if (foreign !== undefined)
    throw new RangeError(
      `"${text}" holds "${foreign}"; a linear code here carries ASCII letters, digits and signs only.`,
    );
  const [raw] = encode(symbology, text, {});
  if (!raw || !('sbs' in raw)) throw new RangeError(`"${text}" gave no ${symbology} code.`);
  const modules = raw.sbs.flatMap((width, index) =>
    Array.from({ length: width }, () => (index % 2 === 0 ? 1 : 0)),
  );
  return {
    symbology,
    text,
    columns: modules.length,
    rows: 1,
    modules: Uint8Array.from(modules),
    quietModules: 10,
  };
}

/** Closed outlines of the dark area, in modules, to be filled even-odd: one path without seams between neighbours. */
export function outlineModules({ columns, rows, modules }: CodeSymbol): [x: number, y: number][][] {
  const dark = (x: number, y: number): boolean =>
    x >= 0 && y >= 0 && x < columns && y < rows && modules[y * columns + x] === 1;
  // Every edge between dark and light, dark on its right hand; keyed by where it starts.
  const width = columns + 1;
  const edges = new Map<number, number[]>();
  const add = (x: number, y: number, toX: number, toY: number): void => {
    const from = y * width + x;
    edges.set(from, [...(edges.get(from) ?? []), toY * width + toX]);
  };
  for (let y = 0; y < rows; y++)
    for (let x = 0; x < columns; x++) {
      if (!dark(x, y)) continue;
      if (!dark(x, y - 1)) add(x, y, x + 1, y);
      if (!dark(x + 1, y)) add(x + 1, y, x + 1, y + 1);
      if (!dark(x, y + 1)) add(x + 1, y + 1, x, y + 1);
      if (!dark(x - 1, y)) add(x, y + 1, x, y);
    }
  const outlines: [number, number][][] = [];
  for (const start of edges.keys())
    while (edges.get(start)?.length) outlines.push(walk(start, edges, width));
  return outlines;
}

function walk(start: number, edges: Map<number, number[]>, width: number): [number, number][] {
  const corners: [number, number][] = [];
  let at = start;
  let heading = 0;
  do {
    const next = edges.get(at)?.pop() as number;
    if (next - at !== heading) corners.push([at % width, Math.floor(at / width)]);
    heading = next - at;
    at = next;
  } while (at !== start);
  return corners;
}

function encode(
  bcid: string,
  text: string,
  options: object,
): ({ sbs: number[] } | { pixs: number[]; pixx: number; pixy: number })[] {
  try {
    return bwipjs.raw(bcid, text, options) as never;
  } catch (error) {
    throw new RangeError(`"${text}" cannot be written as ${bcid}: ${(error as Error).message}`, {
      cause: error,
    });
  }
}
