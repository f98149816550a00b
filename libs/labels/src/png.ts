/** PNG (ISO/IEC 15948), one bit a dot, with its resolution written in so that it prints in true size. */
import { zlibSync } from 'fflate';
import { toBitmap } from './bitmap.ts';
import type { Drawing } from './drawing.ts';
import type { Bitmap } from './raster.ts';
import { dotsPerMm } from './units.ts';

export const toPng = (drawing: Drawing, dpi: number): Uint8Array =>
  bitmapToPng(toBitmap(drawing, dpi), dotsPerMm(dpi));

export function bitmapToPng(bitmap: Bitmap, dotsPerMillimetre: number): Uint8Array {
  const { widthDots, heightDots, rowBytes, bits } = bitmap;
  const header = new Uint8Array(13);
  const view = new DataView(header.buffer);
  view.setUint32(0, widthDots);
  view.setUint32(4, heightDots);
  header.set([1, 0, 0, 0, 0], 8); // one bit, greyscale, deflate, adaptive filters, not interlaced
  const physical = new Uint8Array(9);
  const perMetre = Math.round(dotsPerMillimetre * 1000);
  new DataView(physical.buffer).setUint32(0, perMetre);
  new DataView(physical.buffer).setUint32(4, perMetre);
  physical[8] = 1; // metres
  // Each row is preceded by its filter type, 0 for none; in greyscale 1 is white.
  const rows = new Uint8Array((rowBytes + 1) * heightDots);
  for (let row = 0; row < heightDots; row++)
    for (let index = 0; index < rowBytes; index++)
      rows[row * (rowBytes + 1) + 1 + index] = ~(bits[row * rowBytes + index] as number) & 0xff;
  return concat([
    Uint8Array.of(0x89, 0x50, 0x4e, 0x47, 0x0d, 0x0a, 0x1a, 0x0a),
    chunk('IHDR', header),
    chunk('pHYs', physical),
    chunk('IDAT', zlibSync(rows)),
    chunk('IEND', new Uint8Array(0)),
  ]);
}

function chunk(type: string, data: Uint8Array): Uint8Array {
  const bytes = new Uint8Array(12 + data.length);
  const view = new DataView(bytes.buffer);
  view.setUint32(0, data.length);
  for (let index = 0; index < 4; index++) bytes[4 + index] = type.charCodeAt(index);
  bytes.set(data, 8);
  view.setUint32(8 + data.length, crc32(bytes.subarray(4, 8 + data.length)));
  return bytes;
}

function crc32(bytes: Uint8Array): number {
  let crc = ~0;
  for (const byte of bytes) {
    crc ^= byte;
    for (let bit = 0; bit < 8; bit++) crc = (crc >>> 1) ^ (crc & 1 ? 0xedb88320 : 0);
  }
  return ~crc >>> 0;
}

function concat(parts: readonly Uint8Array[]): Uint8Array {
  const whole = new Uint8Array(parts.reduce((sum, part) => sum + part.length, 0));
  let offset = 0;
  for (const part of parts) {
    whole.set(part, offset);
    offset += part.length;
  }
  return whole;
}
