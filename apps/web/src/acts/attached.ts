/** Files chosen for an act: made small enough to send from an aisle, and named by the hash of their bytes. */
import { sha256 } from '@noble/hashes/sha2.js';
import { bytesToHex } from '@noble/hashes/utils.js';
import {
  ATTACHMENT_TYPES,
  MOST_ATTACHMENT_BYTES,
  type Attachment,
  type AttachmentType,
} from '@rundlet/contracts';
import { drawAtMost, openPicture } from '../data/picture.ts';

export interface Attached {
  readonly attachment: Attachment;
  readonly blob: Blob;
}

/** A photograph above this is drawn anew; a sheet of figures stays readable at this longest side. */
const LARGE_PHOTO_BYTES = 1_500_000;
const LONGEST_SIDE_PX = 2400;

/** @throws Error that says what is wrong with the file */
export async function attachedFrom(file: File): Promise<Attached> {
  const blob = await asKept(file);
  if (blob.size === 0) throw new Error(`${file.name} is empty.`);
  if (blob.size > MOST_ATTACHMENT_BYTES)
    throw new Error(
      `${file.name} has more than 10 MB. Save it smaller, or attach its first pages.`,
    );
  return {
    blob,
    attachment: {
      sha256: bytesToHex(sha256(new Uint8Array(await blob.arrayBuffer()))),
      mediaType: blob.type as AttachmentType,
      name: file.name.trim().slice(-120) || 'file',
      bytes: blob.size,
    },
  };
}

/** As it is, where it is of a kind that is kept and no large photograph. */
async function asKept(file: File): Promise<Blob> {
  const isPicture = file.type.startsWith('image/');
  const isKept = (ATTACHMENT_TYPES as string[]).includes(file.type);
  if (isKept && !(isPicture && file.size > LARGE_PHOTO_BYTES)) return file;
  if (!isPicture)
    throw new Error(`${file.name} is neither a photograph nor a PDF: only those are kept.`);
  const bitmap = await openPicture(file);
  try {
    const { canvas } = drawAtMost(LONGEST_SIDE_PX, bitmap);
    return await new Promise((done, failed) => {
      canvas.toBlob(
        (blob) => {
          if (blob) done(blob);
          else failed(new Error('The browser cannot make the photograph smaller.'));
        },
        'image/jpeg',
        0.85,
      );
    });
  } finally {
    bitmap.close();
  }
}
