/** Pictures as bytes of brightness, and the few things done to them before decoding. */

/** What a camera or a file gives: brightness alone (width × height bytes) or RGBA (four times as many). */
export interface Picture {
  readonly data: Uint8ClampedArray | Uint8Array;
  readonly width: number;
  readonly height: number;
}

/** One byte a pixel, 0 black. */
export interface Luminance {
  readonly data: Uint8ClampedArray;
  readonly width: number;
  readonly height: number;
}

/** Brightness by the luma weights of Rec. ITU-R BT.601, in 1024ths. */
export function toLuminance({ data, width, height }: Picture): Luminance {
  const size = width * height;
  if (data.length === size)
    return {
      data: new Uint8ClampedArray(data.buffer, data.byteOffset, data.byteLength),
      width,
      height,
    };
  if (data.length !== 4 * size)
    throw new RangeError(
      `A picture of ${width} × ${height} has ${size} bytes of brightness or ${4 * size} of RGBA, not ${data.length}.`,
    );
  const light = new Uint8ClampedArray(size);
  for (let index = 0, at = 0; index < size; index++, at += 4)
    light[index] =
      (306 * (data[at] as number) +
        601 * (data[at + 1] as number) +
        117 * (data[at + 2] as number) +
        512) >>
      10;
  return { data: light, width, height };
}

/** Shrinks so that the longer side is at most `longest`, each pixel the mean of those it covers; smaller pictures come back as they are. */
export function shrink(picture: Luminance, longest: number): Luminance {
  const ratio = Math.max(picture.width, picture.height) / longest;
  if (ratio <= 1) return picture;
  const width = Math.max(1, Math.round(picture.width / ratio));
  const height = Math.max(1, Math.round(picture.height / ratio));
  const data = new Uint8ClampedArray(width * height);
  const starts = Array.from({ length: width + 1 }, (_, x) =>
    Math.round((x * picture.width) / width),
  );
  const sums = new Uint32Array(width);
  for (let y = 0; y < height; y++) {
    const top = Math.round((y * picture.height) / height);
    const bottom = Math.max(top + 1, Math.round(((y + 1) * picture.height) / height));
    sums.fill(0);
    for (let row = top; row < bottom; row++) {
      const offset = row * picture.width;
      for (let x = 0, at = offset; x < width; x++) {
        let sum = 0;
        for (const end = offset + (starts[x + 1] as number); at < end; at++)
          sum += picture.data[at] as number;
        sums[x] = (sums[x] as number) + sum;
      }
    }
    for (let x = 0; x < width; x++) {
      const count = (bottom - top) * ((starts[x + 1] as number) - (starts[x] as number));
      data[y * width + x] = (sums[x] as number) / count;
    }
  }
  return { data, width, height };
}

/** Mean of the 3 × 3 neighbourhood: quietens noise and screen patterns. */
export function blur(picture: Luminance): Luminance {
  return filter(picture, (sum) => sum / 9);
}

/** Pushes each pixel away from its neighbourhood's mean: brings soft edges back. */
export function sharpen(picture: Luminance): Luminance {
  return filter(picture, (sum, centre) => centre + 1.5 * (centre - sum / 9));
}

/** Larger, interpolated: small modules get the pixels that a detector wants. */
export function enlarge({ data, width, height }: Luminance, factor = 1.5): Luminance {
  const [wide, high] = [Math.round(width * factor), Math.round(height * factor)];
  const larger = new Uint8ClampedArray(wide * high);
  for (let y = 0; y < high; y++) {
    const fromY = Math.min(height - 1.001, Math.max(0, (y + 0.5) / factor - 0.5));
    for (let x = 0; x < wide; x++) {
      const fromX = Math.min(width - 1.001, Math.max(0, (x + 0.5) / factor - 0.5));
      larger[y * wide + x] = sample(data, width, fromX, fromY);
    }
  }
  return { data: larger, width: wide, height: high };
}

/** Bilinear value at a place between pixels; the caller keeps it inside. */
export function sample(data: Uint8ClampedArray, width: number, x: number, y: number): number {
  const [left, top] = [Math.floor(x), Math.floor(y)];
  const [right, down] = [x - left, y - top];
  const at = top * width + left;
  const upper = (data[at] as number) * (1 - right) + (data[at + 1] as number) * right;
  const lower =
    (data[at + width] as number) * (1 - right) + (data[at + width + 1] as number) * right;
  return upper * (1 - down) + lower * down;
}

function filter(
  { data, width, height }: Luminance,
  value: (sum: number, centre: number) => number,
): Luminance {
  const filtered = data.slice();
  for (let y = 1; y < height - 1; y++)
    for (let x = 1; x < width - 1; x++) {
      const at = y * width + x;
      const [above, below] = [at - width, at + width];
      const sum =
        (data[above - 1] as number) +
        (data[above] as number) +
        (data[above + 1] as number) +
        (data[at - 1] as number) +
        (data[at] as number) +
        (data[at + 1] as number) +
        (data[below - 1] as number) +
        (data[below] as number) +
        (data[below + 1] as number);
      filtered[at] = value(sum, data[at] as number);
    }
  return { data: filtered, width, height };
}
