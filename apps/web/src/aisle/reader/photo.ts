import { drawAtMost, openPicture } from '../../data/picture.ts';
import { decode, type ReadText } from './decoder.ts';

/** Larger photos are shrunk to this longest side first: the pixels of more would not fit a small phone's memory. */
const LARGEST_PX = 4096;

/** The codes in a photo. @throws Error when the file is no picture */
export async function readPhoto(file: Blob): Promise<readonly ReadText[]> {
  const bitmap = await openPicture(file);
  try {
    const { canvas, context } = drawAtMost(LARGEST_PX, bitmap, { willReadFrequently: true });
    return await decode(context.getImageData(0, 0, canvas.width, canvas.height), 'photo');
  } finally {
    bitmap.close();
  }
}
