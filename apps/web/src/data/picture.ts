/** @throws Error when the file is no picture the browser can open */
export const openPicture = (file: Blob): Promise<ImageBitmap> =>
  createImageBitmap(file).catch(() => {
    throw new Error('This file is not a picture the browser can open. Choose a JPEG, PNG or WebP.');
  });

/** The picture on a canvas, made smaller where its longest side has more pixels than `most`. */
export function drawAtMost(
  most: number,
  bitmap: ImageBitmap,
  options?: CanvasRenderingContext2DSettings,
) {
  const scale = Math.min(1, most / Math.max(bitmap.width, bitmap.height));
  const canvas = document.createElement('canvas');
  canvas.width = Math.max(1, Math.round(bitmap.width * scale));
  canvas.height = Math.max(1, Math.round(bitmap.height * scale));
  const context = canvas.getContext('2d', options);
  if (!context) throw new Error('The browser cannot draw pictures on this page.');
  context.drawImage(bitmap, 0, 0, canvas.width, canvas.height);
  return { canvas, context };
}
