import { existsSync, readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import type { Picture, SecondEngine } from '@rundlet/reading';
import { secondEngine } from '@rundlet/reading';
import { PNG } from 'pngjs';
import { prepareZXingModule } from 'zxing-wasm/reader';

/** Folder of photo sets, each a folder of `name.png` beside `name.txt` with what it says; sets of ZXing's own tests have this form. */
export const CORPUS = process.env['RUNDLET_PHOTO_CORPUS'] ?? '';

export interface Photo {
  readonly name: string;
  readonly text: string;
  readonly picture: Picture;
}

export function loadSet(set: string): Photo[] {
  const folder = join(CORPUS, set);
  return readdirSync(folder)
    .filter((file) => file.endsWith('.png'))
    .filter((file) => existsSync(join(folder, file.replace(/png$/, 'txt'))))
    .map((file) => ({
      name: `${set}/${file}`,
      text: readFileSync(join(folder, file.replace(/png$/, 'txt')), 'utf8'),
      picture: readPng(readFileSync(join(folder, file))),
    }));
}

export function readPng(bytes: Uint8Array): Picture {
  const { data, width, height } = PNG.sync.read(Buffer.from(bytes));
  return { data: new Uint8ClampedArray(data), width, height };
}

/** zxing-wasm from the file in node_modules: nothing is fetched. */
export async function startSecondEngine(): Promise<SecondEngine> {
  const path = join(
    import.meta.dirname,
    '../../../node_modules/zxing-wasm/dist/reader/zxing_reader.wasm',
  );
  const wasmBinary = new Uint8Array(readFileSync(path)).buffer;
  const module = await prepareZXingModule({ overrides: { wasmBinary }, fireImmediately: true });
  return secondEngine(module as never);
}

export const median = (values: readonly number[]): number =>
  values.toSorted((a, b) => a - b)[Math.floor(values.length / 2)] ?? NaN;
