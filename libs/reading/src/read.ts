/** Picture → codes: the order in which engines, sizes and angles are tried. */
import { mergeCodes, scaleCode, type FoundCode, type Format } from './code.ts';
import { shrink, toLuminance, type Luminance, type Picture } from './picture.ts';
import { QR_LOOKS, readQr, type QrLook } from './qr-looks.ts';
import { ScanLineReader } from './scan-lines.ts';
import type { SecondEngine } from './second-engine.ts';

export interface ReadOptions {
  readonly formats?: readonly Format[];
  /**
   * `frame`: one of a stream, another comes in a moment, so only what is quick. `photo`: the only picture there is, so every
   * way is tried and all codes in it are wanted.
   */
  readonly effort?: 'frame' | 'photo';
  readonly secondEngine?: SecondEngine;
  /** For a stream: the frame's number. Each frame tries other angles and another look, so that a steady hand gets them all. */
  readonly frameNumber?: number;
}

export interface Reading {
  readonly codes: readonly FoundCode[];
  /** What was tried, in order, for the person who wonders why. */
  readonly attempts: readonly string[];
}

const DEFAULT_FORMATS: readonly Format[] = ['qr', 'code128', 'code39'];

/** Sizes for a photo, longest side in pixels: a small size finds large codes sooner and more surely, full size the small ones. */
const PHOTO_SIZES = [1280, 2016];
const LARGEST_FOR_BOTH = 2016;
/** Degrees of tilt that cost a linear code nothing. */
const STRAIGHT_ENOUGH = 4;

/** Lines are read both ways, so half a turn covers all; fifteen degrees apart (0 and 90 among them), none is more than 7.5° off. */
const TILTS = [30, 60, 120, 150, 15, 165, 75, 105, 45, 135];

const scanLines = new ScanLineReader();

/** Reads every code it can. Throws RangeError when the data does not fit the picture's size; no code is an empty list. */
export function readCodes(picture: Picture, options: ReadOptions = {}): Reading {
  const luminance = toLuminance(picture);
  const formats = options.formats ?? DEFAULT_FORMATS;
  return options.effort === 'frame'
    ? readFrame(luminance, formats, options)
    : readPhoto(luminance, formats, options);
}

function readFrame(picture: Luminance, formats: readonly Format[], options: ReadOptions): Reading {
  const { secondEngine, frameNumber = 0 } = options;
  const attempts: string[] = [];
  const tried = (name: string, codes: readonly FoundCode[]): readonly FoundCode[] => {
    attempts.push(name);
    return codes;
  };
  const qr = formats.includes('qr');
  const linear = isLinear(formats);
  const spacing = Math.max(2, Math.round(picture.height / 120));
  const look = QR_LOOKS[1 + (frameNumber % 3)] as QrLook;
  const angle = TILTS[frameNumber % TILTS.length] as number;
  const lines = (degrees: number): readonly FoundCode[] =>
    linear
      ? tried(
          `lines at ${degrees}°`,
          scanLines.read(picture, { degrees, spacing }, formats, { first: true }),
        )
      : [];
  const ways: (() => readonly FoundCode[])[] = [
    () => (qr ? tried('qr, local', readQr(picture, QR_LOOKS[0] as QrLook, false)) : []),
    () => lines(0),
    () => (secondEngine ? tried('second engine', secondEngine.read(picture, formats, false)) : []),
    () => (secondEngine ? [] : lines(90)),
    () => (qr && !secondEngine ? tried(`qr, ${look.name}`, readQr(picture, look, false)) : []),
    () => lines(angle),
  ];
  for (const way of ways) {
    const codes = way();
    if (codes.length > 0) return { codes: mergeCodes(codes), attempts };
  }
  return { codes: [], attempts };
}

function readPhoto(picture: Luminance, formats: readonly Format[], options: ReadOptions): Reading {
  const attempts: string[] = [];
  const longest = Math.max(picture.width, picture.height);
  const sizes = [...PHOTO_SIZES.filter((size) => size < longest), longest];
  const pictures = sizes.map((size) => () => shrink(picture, size));
  const looks = [
    ...pictures.map((at) => ({ at, look: quickLook })),
    { at: pictures[0] as () => Luminance, look: thoroughLook },
  ];
  for (const { at, look } of looks) {
    const smaller = at();
    const codes: FoundCode[] = [];
    for (const [name, found] of look(smaller, formats, options.secondEngine)) {
      attempts.push(`${smaller.width} × ${smaller.height}: ${name}`);
      codes.push(...found);
    }
    const factor = picture.width / smaller.width;
    if (codes.length > 0)
      return { codes: mergeCodes(codes.map((code) => scaleCode(code, factor))), attempts };
  }
  return { codes: [], attempts };
}

type Attempt = readonly [name: string, codes: readonly FoundCode[]];

/** What reads most photos, all of it, because one photo may hold several codes. */
function* quickLook(
  picture: Luminance,
  formats: readonly Format[],
  second: SecondEngine | undefined,
): Generator<Attempt> {
  const found: FoundCode[] = [];
  const kept = (attempt: Attempt): Attempt => {
    found.push(...attempt[1]);
    return attempt;
  };
  if (second) yield kept(['second engine', second.read(picture, formats, false)]);
  // At full size the second engine alone is quick enough, and the first one is no help there: its blocks are too small.
  if (second && Math.max(picture.width, picture.height) > LARGEST_FOR_BOTH) return;
  if (formats.includes('qr')) yield kept(qrAttempt(picture, QR_LOOKS[0] as QrLook));
  if (!isLinear(formats)) return;
  for (const degrees of [0, 90]) yield kept(lineAttempt(picture, degrees, formats));
  if (found.length === 0) return;
  // A linear code usually stands on the same label as the QR code, and lies in its direction.
  for (const degrees of tiltsOf(found)) yield kept(lineAttempt(picture, degrees, formats));
  // And where there is a linear code, a QR code that was not seen at once deserves a second look.
  if (formats.includes('qr'))
    for (const look of QR_LOOKS.slice(1)) {
      if (found.some(({ format }) => format === 'qr')) return;
      yield kept(qrAttempt(picture, look));
    }
}

/** Directions of the QR codes' rows and columns, whole degrees, apart from those that lines along 0° and 90° read anyway. */
function tiltsOf(codes: readonly FoundCode[]): readonly number[] {
  const tilts = codes.flatMap(({ format, corners: [topLeft, topRight] }) => {
    if (format !== 'qr' || !topLeft || !topRight) return [];
    const degrees = (Math.atan2(topRight.y - topLeft.y, topRight.x - topLeft.x) * 180) / Math.PI;
    return [degrees, degrees + 90].map((each) => ((Math.round(each) % 180) + 180) % 180);
  });
  return [...new Set(tilts)].filter(
    (tilt) => Math.min(tilt % 90, 90 - (tilt % 90)) > STRAIGHT_ENOUGH,
  );
}

/** Everything else, until something is found. */
function* thoroughLook(
  picture: Luminance,
  formats: readonly Format[],
  second: SecondEngine | undefined,
): Generator<Attempt> {
  const attempts: (() => Attempt)[] = [];
  if (second) attempts.push(() => ['second engine, denoised', second.read(picture, formats, true)]);
  if (formats.includes('qr'))
    attempts.push(...QR_LOOKS.slice(1).map((look) => () => qrAttempt(picture, look)));
  if (isLinear(formats))
    attempts.push(
      ...[0, 90].map((degrees) => () => lineAttempt(picture, degrees, formats, DENSE)),
      ...TILTS.map((degrees) => () => lineAttempt(picture, degrees, formats)),
    );
  for (const attempt of attempts) {
    const [name, codes] = attempt();
    yield [name, codes];
    if (codes.length > 0) return;
  }
}

const qrAttempt = (picture: Luminance, look: QrLook): Attempt => [
  `qr, ${look.name}`,
  readQr(picture, look, true),
];

/** Lines across the picture's height: a low or worn code may be readable along a few rows only. */
const USUAL = 240;
const DENSE = 1000;

const lineAttempt = (
  picture: Luminance,
  degrees: number,
  formats: readonly Format[],
  lines = USUAL,
): Attempt => {
  const spacing = Math.max(1, Math.round(picture.height / lines));
  return [
    `lines at ${degrees}°, ${spacing} px apart`,
    scanLines.read(picture, { degrees, spacing }, formats),
  ];
};

const isLinear = (formats: readonly Format[]): boolean =>
  formats.includes('code128') || formats.includes('code39');
