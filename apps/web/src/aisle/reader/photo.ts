import { decode, type ReadText } from './decoder.ts';

/** Larger photos are shrunk to this longest side first: the pixels of more would not fit a small phone's memory. */
const LARGEST_PX = 4096;

/** The codes in a photo. @throws Error when the file is no picture */
export async function readPhoto(file: Blob): Promise<readonly ReadText[]> {
  const bitmap = await createImageBitmap(file).catch(() => {
    throw new Error('This file is not a picture the browser can open. Choose a JPEG, PNG or WebP.');
  });
  try {
    return await decode(pixelsOf(bitmap), 'photo');
  } finally {
    bitmap.close();
  }
}

function pixelsOf(bitmap: ImageBitmap): ImageData {
  const scale = Math.min(1, LARGEST_PX / Math.max(bitmap.width, bitmap.height));
  const canvas = document.createElement('canvas');
  canvas.width = Math.max(1, Math.round(bitmap.width * scale));
  canvas.height = Math.max(1, Math.round(bitmap.height * scale));
  const context = canvas.getContext('2d', { willReadFrequently: true });
  if (!context) throw new Error('The browser cannot draw pictures on this page.');
  context.drawImage(bitmap, 0, 0, canvas.width, canvas.height);
  return context.getImageData(0, 0, canvas.width, canvas.height);
}
