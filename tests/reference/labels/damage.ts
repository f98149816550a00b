/** What happens to a label between the printer and the camera. */
import type { Grey } from './support.ts';

type Change = (picture: Grey) => Grey;

/** Halves and halves again until the longer side fits: the distance from which a camera looks. */
export function seenFrom(picture: Grey, longest: number): Grey {
  const factor = Math.max(1, Math.max(picture.width, picture.height) / longest);
  const [width, height] = [Math.floor(picture.width / factor), Math.floor(picture.height / factor)];
  const data = new Uint8ClampedArray(width * height);
  for (let y = 0; y < height; y++)
    for (let x = 0; x < width; x++) {
      let [sum, count] = [0, 0];
      for (let row = Math.floor(y * factor); row < (y + 1) * factor && row < picture.height; row++)
        for (
          let column = Math.floor(x * factor);
          column < (x + 1) * factor && column < picture.width;
          column++
        ) {
          sum += picture.data[row * picture.width + column] as number;
          count++;
        }
      data[y * width + x] = sum / count;
    }
  return { data, width, height };
}

/** A Gaussian of standard deviation `sigma` pixels, cut at three of them. */
export const blurred =
  (sigma: number): Change =>
  (picture) => {
    const reach = Math.ceil(3 * sigma);
    const weights = Array.from({ length: 2 * reach + 1 }, (_, at) =>
      Math.exp(-((at - reach) ** 2) / (2 * sigma ** 2)),
    );
    const total = weights.reduce((sum, weight) => sum + weight, 0);
    const pass = ({ data, width, height }: Grey, across: boolean): Grey => {
      const out = new Uint8ClampedArray(data.length);
      for (let y = 0; y < height; y++)
        for (let x = 0; x < width; x++) {
          let sum = 0;
          for (const [at, weight] of weights.entries()) {
            const px = across ? Math.min(width - 1, Math.max(0, x + at - reach)) : x;
            const py = across ? y : Math.min(height - 1, Math.max(0, y + at - reach));
            sum += weight * (data[py * width + px] as number);
          }
          out[y * width + x] = sum / total;
        }
      return { data: out, width, height };
    };
    return pass(pass(picture, true), false);
  };

export const faded: Change = ({ data, ...size }) => ({
  ...size,
  data: data.map((light) => 120 + (light * 60) / 255),
});

/** Turned about its middle on a larger sheet of paper. */
export const tilted =
  (degrees: number): Change =>
  ({ data, width, height }) => {
    const [cos, sin] = [Math.cos((degrees * Math.PI) / 180), Math.sin((degrees * Math.PI) / 180)];
    const wide = Math.ceil(width * Math.abs(cos) + height * Math.abs(sin));
    const high = Math.ceil(width * Math.abs(sin) + height * Math.abs(cos));
    const out = new Uint8ClampedArray(wide * high).fill(255);
    for (let y = 0; y < high; y++)
      for (let x = 0; x < wide; x++) {
        const [dx, dy] = [x - wide / 2, y - high / 2];
        const fromX = dx * cos + dy * sin + width / 2;
        const fromY = -dx * sin + dy * cos + height / 2;
        const [left, top] = [Math.floor(fromX), Math.floor(fromY)];
        if (left < 0 || top < 0 || left >= width - 1 || top >= height - 1) continue;
        const [u, v] = [fromX - left, fromY - top];
        const at = top * width + left;
        out[y * wide + x] =
          (data[at] as number) * (1 - u) * (1 - v) +
          (data[at + 1] as number) * u * (1 - v) +
          (data[at + width] as number) * (1 - u) * v +
          (data[at + width + 1] as number) * u * v;
      }
    return { data: out, width: wide, height: high };
  };
