/**
 * ZPL II, the language of many label printers. The label goes over as one graphic field (`^GFA`), the same dots as the PNG: a native QR
 * command stops at ten dots a module and has the printer's own fonts beside it.
 */
import { toBitmap } from './bitmap.ts';
import type { Drawing } from './drawing.ts';
import type { Bitmap } from './raster.ts';

export interface ZplOptions {
  readonly copies?: number;
}

export function toZpl(drawing: Drawing, dpi: number, options: ZplOptions = {}): string {
  const { copies = 1 } = options;
  if (!Number.isInteger(copies) || copies < 1 || copies > 9999)
    throw new RangeError(`copies is ${copies}; it must be a whole number from 1 to 9999.`);
  const bitmap = toBitmap(drawing, dpi);
  const bytes = bitmap.rowBytes * bitmap.heightDots;
  return [
    '^XA',
    `^PW${bitmap.widthDots}`,
    `^LL${bitmap.heightDots}`,
    '^LH0,0',
    '^FO0,0',
    `^GFA,${bytes},${bytes},${bitmap.rowBytes},${compress(bitmap)}^FS`,
    `^PQ${copies}`,
    '^XZ',
    '',
  ].join('\n');
}

/** Rows in hexadecimal with ZPL's run lengths: `,` the rest is white, `!` the rest is ink, `:` as the row above. */
function compress({ rowBytes, heightDots, bits }: Bitmap): string {
  let previous = '';
  let data = '';
  for (let row = 0; row < heightDots; row++) {
    const hex = [...bits.subarray(row * rowBytes, (row + 1) * rowBytes)]
      .map((byte) => byte.toString(16).toUpperCase().padStart(2, '0'))
      .join('');
    data += hex === previous ? ':' : compressRow(hex);
    previous = hex;
  }
  return data;
}

function compressRow(hex: string): string {
  const tail = /(0+|F+)$/.exec(hex)?.[0] ?? '';
  const end = tail.length < 2 ? '' : tail.startsWith('0') ? ',' : '!';
  const body = end === '' ? hex : hex.slice(0, hex.length - tail.length);
  return body.replace(/(.)\1*/g, (run, digit: string) => runLength(run.length) + digit) + end;
}

/** G to Y count 1 to 19, g to z count 20 to 400 in twenties. */
function runLength(length: number): string {
  if (length === 1) return '';
  let rest = length;
  let code = '';
  for (; rest > 400; rest -= 400) code += 'z';
  if (rest >= 20) code += String.fromCharCode('f'.charCodeAt(0) + Math.floor(rest / 20));
  if (rest % 20 > 0) code += String.fromCharCode('F'.charCodeAt(0) + (rest % 20));
  return code;
}
