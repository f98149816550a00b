/**
 * Linear codes along sheaves of parallel lines. A linear code is lost beyond ten or fifteen degrees of tilt, so
 * lines are drawn across the picture at several angles; sampling sixty lines is cheaper than turning the picture.
 */
import {
  BarcodeFormat,
  type BitArray,
  DecodeHintType,
  GlobalHistogramBinarizer,
  RGBLuminanceSource,
  type Result,
} from '@zxing/library';
import { MendedCode128Reader } from './code128.ts';
import { PatientCode39Reader } from './code39.ts';
import type { FoundCode, Format, Point } from './code.ts';
import { sample, type Luminance } from './picture.ts';
import { runsOf } from './runs.ts';

export interface Sheaf {
  /** Direction of the lines, degrees clockwise from the picture's rows. */
  readonly degrees: number;
  /** Distance between lines, pixels. */
  readonly spacing: number;
}

const HINTS = new Map<DecodeHintType, unknown>([
  [DecodeHintType.TRY_HARDER, true],
  // FNC1 is then not swallowed: `]C1` in front when it comes first, GS where it separates.
  [DecodeHintType.ASSUME_GS1, true],
]);
/** Code 128 of one character: start, character, check and stop. */
const LEAST_RUNS = 25;
/** A text counts when this many lines agree: one line alone now and then makes a code out of wood grain. */
const LINES_THAT_AGREE = 2;

interface Sighting {
  readonly text: string;
  readonly format: Format;
  readonly line: number;
  readonly from: number;
  readonly to: number;
}

export class ScanLineReader {
  readonly #code128 = new MendedCode128Reader();
  readonly #code39 = new PatientCode39Reader(false, false);

  /** From the middle outwards. With `first` it stops as soon as two lines agree on a code. */
  read(
    picture: Luminance,
    sheaf: Sheaf,
    formats: readonly Format[],
    { first = false }: { first?: boolean } = {},
  ): FoundCode[] {
    const lines = drawLines(picture, sheaf);
    const source = new RGBLuminanceSource(lines.data, lines.width, lines.height);
    const binarizer = new GlobalHistogramBinarizer(source);
    const buffer = new Int32Array(lines.width + 1);
    const sightings: Sighting[] = [];
    let row: BitArray | undefined;
    for (let step = 0; step < lines.height; step++) {
      const line = fromTheMiddle(step, lines.height);
      try {
        row = binarizer.getBlackRow(line, row as BitArray);
      } catch {
        continue; // too little contrast along this line
      }
      const transitions = runsOf(row, buffer).count;
      if (transitions < LEAST_RUNS) continue;
      for (const backwards of [false, true]) {
        if (backwards) row.reverse();
        for (const result of this.#readRow(line, row, buffer, formats))
          sightings.push(sightingOf(result, line, backwards ? lines.width : undefined));
      }
      if (first && sightings.length >= LINES_THAT_AGREE) {
        const codes = agreed(sightings, lines.toPicture);
        if (codes.length > 0) return codes;
      }
    }
    return agreed(sightings, lines.toPicture);
  }

  #readRow(line: number, row: BitArray, buffer: Int32Array, formats: readonly Format[]): Result[] {
    const runs = runsOf(row, buffer);
    const found: Result[] = [];
    if (formats.includes('code128'))
      found.push(...this.#code128.readAll(line, row, runs, HINTS as never));
    if (formats.includes('code39'))
      found.push(...this.#code39.readOne(line, row, runs, HINTS as never));
    return found;
  }
}

/** 0, 1, 2, 3 … → the middle line, the one below, the one above, two below … */
function fromTheMiddle(step: number, count: number): number {
  const away = (step + 1) >> 1;
  const line = (count >> 1) + (step % 2 === 1 ? away : -away);
  return line >= count ? line - count : line;
}

interface Lines extends Luminance {
  readonly toPicture: (along: number, line: number) => Point;
}

function drawLines(picture: Luminance, { degrees, spacing }: Sheaf): Lines {
  const { data, width, height } = picture;
  if (degrees === 0) {
    const count = Math.max(1, Math.floor((height - 1) / spacing) + 1);
    if (spacing === 1) return { ...picture, toPicture: (x, y) => ({ x, y }) };
    const rows = new Uint8ClampedArray(width * count);
    for (let line = 0; line < count; line++)
      rows.set(data.subarray(line * spacing * width, (line * spacing + 1) * width), line * width);
    return { data: rows, width, height: count, toPicture: (x, line) => ({ x, y: line * spacing }) };
  }
  if (degrees === 90) return drawColumns(picture, spacing);
  const angle = (degrees * Math.PI) / 180;
  const [cos, sin] = [Math.cos(angle), Math.sin(angle)];
  const length = Math.ceil(Math.abs(width * cos) + Math.abs(height * sin));
  const breadth = Math.abs(width * sin) + Math.abs(height * cos);
  const count = Math.max(1, Math.floor(breadth / spacing));
  const toPicture = (along: number, line: number): Point => {
    const u = along - length / 2;
    const v = (line - (count - 1) / 2) * spacing;
    return { x: width / 2 + u * cos - v * sin, y: height / 2 + u * sin + v * cos };
  };
  const lines = new Uint8ClampedArray(length * count).fill(255);
  for (let line = 0; line < count; line++) {
    let { x, y } = toPicture(0, line);
    for (let along = 0; along < length; along++, x += cos, y += sin)
      if (x >= 0 && y >= 0 && x < width - 1 && y < height - 1)
        lines[line * length + along] = sample(data, width, x, y);
  }
  return { data: lines, width: length, height: count, toPicture };
}

/** Column by column, on whole pixels: sampling halfway between them would soften narrow bars. */
function drawColumns({ data, width, height }: Luminance, spacing: number): Lines {
  const count = Math.max(1, Math.floor((width - 1) / spacing) + 1);
  const columns = new Uint8ClampedArray(height * count);
  for (let line = 0; line < count; line++)
    for (let along = 0, at = line * spacing; along < height; along++, at += width)
      columns[line * height + along] = data[at] as number;
  return {
    data: columns,
    width: height,
    height: count,
    toPicture: (along, line) => ({ x: line * spacing, y: along }),
  };
}

function sightingOf(result: Result, line: number, mirrored: number | undefined): Sighting {
  const points = result.getResultPoints().map((point) => point.getX());
  const ends = points.map((x) => (mirrored === undefined ? x : mirrored - 1 - x));
  return {
    text: result.getText(),
    format: result.getBarcodeFormat() === BarcodeFormat.CODE_39 ? 'code39' : 'code128',
    line,
    from: Math.min(...ends),
    to: Math.max(...ends),
  };
}

function agreed(
  sightings: readonly Sighting[],
  toPicture: (along: number, line: number) => Point,
): FoundCode[] {
  const byText = new Map<string, Sighting[]>();
  for (const sighting of sightings) {
    const key = `${sighting.format} ${sighting.text}`;
    byText.set(key, [...(byText.get(key) ?? []), sighting]);
  }
  return [...byText.values()]
    .filter((group) => new Set(group.map(({ line }) => line)).size >= LINES_THAT_AGREE)
    .map((group) => {
      const { text, format, line, from, to } = group[group.length >> 1] as Sighting;
      const gs1 = format === 'code128' && text.startsWith(']C1');
      return {
        text: gs1 ? text.slice(3) : text,
        format,
        symbologyIdentifier: format === 'code39' ? ']A0' : gs1 ? ']C1' : ']C0',
        corners: [toPicture(from, line), toPicture(to, line)],
        engine: 'first',
      };
    });
}
