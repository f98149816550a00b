/** QR codes by the first engine: several ways of turning a picture into black and white, the likeliest first. */
import {
  BinaryBitmap,
  DecodeHintType,
  GlobalHistogramBinarizer,
  HybridBinarizer,
  QRCodeReader,
  RGBLuminanceSource,
  type Binarizer,
  type Result,
} from '@zxing/library';
import type { FoundCode, Point } from './code.ts';
import { qrWindows, type Marks } from './qr-windows.ts';
import { blur, enlarge, sharpen, shrink, type Luminance } from './picture.ts';

const HINTS = new Map<DecodeHintType, unknown>([[DecodeHintType.TRY_HARDER, true]]);
const MOST_CODES = 12;

export interface QrLook {
  readonly name: string;
  readonly prepare: (picture: Luminance) => Luminance;
  readonly local: boolean;
}

const asIs = (picture: Luminance): Luminance => picture;
const half = (picture: Luminance): Luminance =>
  shrink(picture, Math.max(picture.width, picture.height) / 2);

/** Local thresholds follow shadows; one threshold for all survives glare; smaller, softer, sharper and larger pictures do the rest. */
export const QR_LOOKS: readonly QrLook[] = [
  { name: 'local', prepare: asIs, local: true },
  { name: 'global', prepare: asIs, local: false },
  { name: 'half, local', prepare: half, local: true },
  { name: 'half, global', prepare: half, local: false },
  { name: 'blurred', prepare: blur, local: true },
  { name: 'sharpened', prepare: sharpen, local: true },
  { name: 'enlarged', prepare: (picture) => enlarge(picture), local: true },
];

/** The QR codes one look finds: with `all`, all of them. */
export function readQr(picture: Luminance, look: QrLook, all: boolean): FoundCode[] {
  const prepared = look.prepare(picture);
  const factor = picture.width / prepared.width;
  const found: FoundCode[] = [];
  const keep = (result: Result, left = 0, top = 0): readonly Point[] => {
    const corners = cornersOf(result).map(({ x, y }) => ({ x: x + left, y: y + top }));
    found.push({
      text: result.getText(),
      format: 'qr',
      corners: corners.map(({ x, y }) => ({ x: x * factor, y: y * factor })),
      engine: 'first',
    });
    return corners;
  };
  let current = prepared;
  if (all) {
    const marks = blackAndWhite(prepared, look.local);
    const windows = marks && qrWindows(prepared, marks);
    let next = windows?.next();
    while (next && !next.done && found.length < MOST_CODES) {
      const { picture: cut, left, top } = next.value;
      const result = decode(cut, look.local);
      if (result) current = paintOver(current, keep(result, left, top));
      next = windows?.next(result !== undefined);
    }
  }
  // The one that is alone, and what the windows have left over: painted over, until there are no more.
  while (found.length < MOST_CODES) {
    const result = decode(current, look.local);
    if (!result) break;
    const corners = keep(result);
    if (!all) break;
    current = paintOver(current, corners);
  }
  return found;
}

function binarizer({ data, width, height }: Luminance, local: boolean): Binarizer {
  const source = new RGBLuminanceSource(data, width, height);
  return local ? new HybridBinarizer(source) : new GlobalHistogramBinarizer(source);
}

function blackAndWhite(picture: Luminance, local: boolean): Marks | undefined {
  try {
    return binarizer(picture, local).getBlackMatrix();
  } catch {
    return undefined; // too little contrast for one threshold
  }
}

function decode(picture: Luminance, local: boolean): Result | undefined {
  try {
    return new QRCodeReader().decode(new BinaryBitmap(binarizer(picture, local)), HINTS);
  } catch {
    return undefined; // nothing found, or found and damaged beyond repair
  }
}

/** The three finder centres make three corners; the fourth completes the parallelogram; all are pushed out to the symbol's edge. */
function cornersOf(result: Result): Point[] {
  const [bottomLeft, topLeft, topRight] = result
    .getResultPoints()
    .map((point) => ({ x: point.getX(), y: point.getY() })) as [Point, Point, Point];
  const bottomRight = {
    x: bottomLeft.x + topRight.x - topLeft.x,
    y: bottomLeft.y + topRight.y - topLeft.y,
  };
  const centre = { x: (bottomLeft.x + topRight.x) / 2, y: (bottomLeft.y + topRight.y) / 2 };
  // Finder centres lie 3.5 modules inside; a version 3 symbol has 29, so its edge is 29/22 as far out.
  const outward = 1.32;
  return [topLeft, topRight, bottomRight, bottomLeft].map(({ x, y }) => ({
    x: centre.x + (x - centre.x) * outward,
    y: centre.y + (y - centre.y) * outward,
  }));
}

function paintOver(picture: Luminance, corners: readonly Point[]): Luminance {
  const data = picture.data.slice();
  const xs = corners.map(({ x }) => x);
  const ys = corners.map(({ y }) => y);
  const left = Math.max(0, Math.floor(Math.min(...xs)));
  const right = Math.min(picture.width, Math.ceil(Math.max(...xs)));
  for (
    let y = Math.max(0, Math.floor(Math.min(...ys)));
    y < Math.min(picture.height, Math.max(...ys));
    y++
  )
    data.fill(255, y * picture.width + left, y * picture.width + right);
  return { ...picture, data };
}
