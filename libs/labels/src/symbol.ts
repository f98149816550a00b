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

/** A closed line round dark modules, its corners one after the other: x, y, x, y … in modules. */
export type Outline = readonly number[];

/** The outlines of the dark area, to be filled even-odd: one path without seams between neighbours. */
export function outlineModules({ columns, rows, modules }: CodeSymbol): Outline[] {
  // Every edge between dark and light, dark on its right hand. At most two start at one corner of the grid.
  const width = columns + 1;
  const first = new Int32Array(width * (rows + 1)).fill(-1);
  const other = first.slice();
  const add = (from: number, to: number): void => {
    if (first[from] === -1) first[from] = to;
    else other[from] = to;
  };
  for (let y = 0; y < rows; y++)
    for (let x = 0; x < columns; x++) {
      const at = y * columns + x;
      if (modules[at] !== 1) continue;
      const corner = y * width + x;
      if (y === 0 || modules[at - columns] !== 1) add(corner, corner + 1);
      if (x === columns - 1 || modules[at + 1] !== 1) add(corner + 1, corner + 1 + width);
      if (y === rows - 1 || modules[at + columns] !== 1) add(corner + 1 + width, corner + width);
      if (x === 0 || modules[at - 1] !== 1) add(corner + width, corner);
    }
  const outlines: Outline[] = [];
  for (let start = 0; start < first.length; start++)
    while (first[start] !== -1) outlines.push(walk(start, first, other, width));
  return outlines;
}

function walk(start: number, first: Int32Array, other: Int32Array, width: number): Outline {
  const corners: number[] = [];
  let at = start;
  let heading = 0;
  do {
    const next = first[at] as number;
    first[at] = other[at] as number;
    other[at] = -1;
    if (next - at !== heading) corners.push(at % width, Math.floor(at / width));
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
    return bwipjs.raw(bcid, text, options);
  } catch (error) {
    throw new RangeError(`"${text}" cannot be written as ${bcid}: ${(error as Error).message}`, {
      cause: error,
    });
  }
}
