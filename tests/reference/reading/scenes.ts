import { makeLinear, makeQr, type CodeSymbol } from '@rundlet/labels';
import type { Picture } from '@rundlet/reading';

/** Repeatable noise: a linear congruential generator (Numerical Recipes' constants). */
export function noiseFrom(seed: number): () => number {
  let state = seed >>> 0;
  return () => (state = (Math.imul(state, 1664525) + 1013904223) >>> 0) / 2 ** 32;
}

export interface Placing {
  readonly x: number;
  readonly y: number;
  readonly module: number;
  readonly degrees: number;
  /** Height of a linear code, pixels. */
  readonly bars?: number;
}

export interface Scene {
  readonly width: number;
  readonly height: number;
  readonly light: Float64Array;
}

export const paper = (width: number, height: number, light = 225): Scene => ({
  width,
  height,
  light: new Float64Array(width * height).fill(light),
});

/** Draws a symbol about its centre, turned, with 3 × 3 samples a pixel. */
export function place(scene: Scene, symbol: CodeSymbol, placing: Placing, ink = 25): void {
  const { x, y, module, degrees, bars = 60 } = placing;
  const [cos, sin] = [Math.cos((degrees * Math.PI) / 180), Math.sin((degrees * Math.PI) / 180)];
  const rowHeight = symbol.rows === 1 ? bars : module;
  const [wide, high] = [symbol.columns * module, symbol.rows * rowHeight];
  const reach = Math.ceil(Math.hypot(wide, high) / 2) + 2;
  for (let py = Math.max(0, y - reach); py < Math.min(scene.height, y + reach); py++)
    for (let px = Math.max(0, x - reach); px < Math.min(scene.width, x + reach); px++) {
      let dark = 0;
      for (let sub = 0; sub < 9; sub++) {
        const dx = px + ((sub % 3) + 0.5) / 3 - x;
        const dy = py + (Math.floor(sub / 3) + 0.5) / 3 - y;
        const column = Math.floor((dx * cos + dy * sin + wide / 2) / module);
        const row = Math.floor((-dx * sin + dy * cos + high / 2) / rowHeight);
        if (column < 0 || row < 0 || column >= symbol.columns || row >= symbol.rows) continue;
        if (symbol.modules[row * symbol.columns + column] === 1) dark++;
      }
      const at = py * scene.width + px;
      const paperLight = scene.light[at] as number;
      scene.light[at] = paperLight + ((ink - paperLight) * dark) / 9;
    }
}

export function photograph(scene: Scene, { noise = 0, seed = 1 } = {}): Picture {
  const random = noiseFrom(seed);
  return {
    width: scene.width,
    height: scene.height,
    data: Uint8ClampedArray.from(scene.light, (light) => light + (random() - 0.5) * 2 * noise),
  };
}

export const qr = (text: string): CodeSymbol => makeQr(text, 'Q');
export const linear = (text: string): CodeSymbol => makeLinear('code128', text);
export const gs1 = (text: string): CodeSymbol => makeLinear('gs1-128', text);
