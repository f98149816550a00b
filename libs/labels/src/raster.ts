/** One-bit pictures and filling shapes into them: what a thermal head or a laser engine lays down, dot for dot. */

export interface Bitmap {
  readonly widthDots: number;
  readonly heightDots: number;
  readonly rowBytes: number;
  /** Row by row, most significant bit first, 1 is ink. */
  readonly bits: Uint8Array;
}

export type Contour = readonly (readonly [x: number, y: number])[];

const SUBLINES = 5;

export function emptyBitmap(widthDots: number, heightDots: number): Bitmap {
  const rowBytes = Math.ceil(widthDots / 8);
  return { widthDots, heightDots, rowBytes, bits: new Uint8Array(rowBytes * heightDots) };
}

export function inkAt(bitmap: Bitmap, x: number, y: number): boolean {
  return ((bitmap.bits[y * bitmap.rowBytes + (x >> 3)] ?? 0) & (0x80 >> (x & 7))) !== 0;
}

export function setDot(bitmap: Bitmap, x: number, y: number, ink: boolean): void {
  if (x < 0 || y < 0 || x >= bitmap.widthDots || y >= bitmap.heightDots) return;
  const index = y * bitmap.rowBytes + (x >> 3);
  const bit = 0x80 >> (x & 7);
  const byte = bitmap.bits[index] as number;
  bitmap.bits[index] = ink ? byte | bit : byte & ~bit;
}

/** Whole bytes at a time: most of a symbol's dots are filled here. */
export function fillRectangle(
  { bits, rowBytes, widthDots, heightDots }: Bitmap,
  x: number,
  y: number,
  width: number,
  height: number,
): void {
  const [left, right] = [Math.max(0, x), Math.min(widthDots, x + width)];
  if (left >= right) return;
  const [first, last] = [left >> 3, (right - 1) >> 3];
  const firstMask = 0xff >> (left & 7);
  const lastMask = 0xff & (0xff80 >> ((right - 1) & 7));
  for (let row = Math.max(0, y); row < Math.min(heightDots, y + height); row++) {
    const at = row * rowBytes;
    const or = (byte: number, mask: number): void => {
      bits[at + byte] = (bits[at + byte] as number) | mask;
    };
    if (first === last) or(first, firstMask & lastMask);
    else {
      or(first, firstMask);
      bits.fill(0xff, at + first + 1, at + last);
      or(last, lastMask);
    }
  }
}

/**
 * The dots that closed contours cover by at least `threshold` (non-zero winding, as TrueType fills), as a list of
 * [x, y]; coordinates in dots.
 */
export function coveredDots(contours: readonly Contour[], threshold: number): [number, number][] {
  const points = contours.flat();
  if (points.length === 0) return [];
  const top = Math.floor(Math.min(...points.map(([, y]) => y)));
  const bottom = Math.ceil(Math.max(...points.map(([, y]) => y)));
  const left = Math.floor(Math.min(...points.map(([x]) => x)));
  const right = Math.ceil(Math.max(...points.map(([x]) => x)));
  const covered: [number, number][] = [];
  const row = new Float64Array(right - left + 1);
  for (let y = top; y < bottom; y++) {
    row.fill(0);
    for (let subline = 0; subline < SUBLINES; subline++)
      for (const [from, to] of spans(contours, y + (subline + 0.5) / SUBLINES))
        addSpan(row, from - left, to - left, 1 / SUBLINES);
    for (let x = 0; x < row.length; x++)
      if ((row[x] as number) >= threshold) covered.push([x + left, y]);
  }
  return covered;
}

/** Where a horizontal line lies inside. */
function spans(contours: readonly Contour[], y: number): [number, number][] {
  const crossings: { x: number; turn: number }[] = [];
  for (const contour of contours)
    for (let index = 0; index < contour.length; index++) {
      const [x0, y0] = contour[index] as readonly [number, number];
      const [x1, y1] = contour[(index + 1) % contour.length] as readonly [number, number];
      if (y0 <= y === y1 <= y) continue;
      crossings.push({ x: x0 + ((y - y0) / (y1 - y0)) * (x1 - x0), turn: y1 > y0 ? 1 : -1 });
    }
  crossings.sort((a, b) => a.x - b.x);
  const inside: [number, number][] = [];
  let winding = 0;
  let from = 0;
  for (const { x, turn } of crossings) {
    if (winding === 0) from = x;
    winding += turn;
    if (winding === 0) inside.push([from, x]);
  }
  return inside;
}

function addSpan(row: Float64Array, from: number, to: number, weight: number): void {
  for (let x = Math.floor(from); x < to; x++) {
    const share = Math.min(x + 1, to) - Math.max(x, from);
    row[x] = (row[x] as number) + share * weight;
  }
}
