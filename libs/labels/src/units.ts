/** Millimetres, points and dots. */

export const POINTS_PER_MM = 72 / 25.4;

/** Thermal heads called 203 dpi have exactly 8 dots/mm (203.2 dpi); other resolutions are what they say. */
export function dotsPerMm(dpi: number): number {
  if (!(dpi >= 72 && dpi <= 2400))
    throw new RangeError(`dpi is ${dpi}; it must be from 72 to 2400 dots per inch.`);
  return dpi === 203 ? 8 : dpi / 25.4;
}
