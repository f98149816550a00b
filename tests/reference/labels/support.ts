import { spawnSync } from 'node:child_process';
import { mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import {
  inkAt,
  openFonts,
  parseTemplate,
  type Bitmap,
  type Fonts,
  type Template,
} from '@rundlet/labels';

const root = join(import.meta.dirname, '../../..');
export const TEMPLATES = join(root, 'label-templates');

export function loadFonts(): Fonts {
  const file = (name: string): Uint8Array =>
    readFileSync(join(root, 'node_modules/dejavu-fonts-ttf/ttf', `DejaVu${name}.ttf`));
  return openFonts({
    serif: file('SerifCondensed'),
    'serif-bold': file('SerifCondensed-Bold'),
    'serif-italic': file('SerifCondensed-Italic'),
    sans: file('SansCondensed'),
    'sans-bold': file('SansCondensed-Bold'),
    mono: file('SansMono'),
    'mono-bold': file('SansMono-Bold'),
  });
}

export const templateFiles = (): string[] =>
  readdirSync(TEMPLATES).filter((file) => file.endsWith('.json'));

export function loadTemplate(file: string): Template {
  const result = parseTemplate(JSON.parse(readFileSync(join(TEMPLATES, file), 'utf8')));
  if (result.status !== 'ok')
    throw new Error(
      `${file}: ${result.problems.map(({ path, message }) => `${path} ${message}`).join('; ')}`,
    );
  return result.template;
}

export interface Grey {
  readonly data: Uint8ClampedArray;
  readonly width: number;
  readonly height: number;
}

/** The bitmap on a sheet of white paper that is a little larger. */
export function onPaper(bitmap: Bitmap, margin = 20): Grey {
  const width = bitmap.widthDots + 2 * margin;
  const height = bitmap.heightDots + 2 * margin;
  const data = new Uint8ClampedArray(width * height).fill(255);
  for (let y = 0; y < bitmap.heightDots; y++)
    for (let x = 0; x < bitmap.widthDots; x++)
      if (inkAt(bitmap, x, y)) data[(y + margin) * width + x + margin] = 0;
  return { data, width, height };
}

export const hasProgram = (name: string): boolean =>
  spawnSync(name, ['--version']).error === undefined;

/** What Debian's zbarimg reads in a grey picture, handed over as PGM. */
export function readWithZbar({ data, width, height }: Grey): string[] {
  return inTemporaryFolder((folder) => {
    const file = join(folder, 'label.pgm');
    writeFileSync(
      file,
      Buffer.concat([Buffer.from(`P5\n${width} ${height}\n255\n`), Uint8Array.from(data)]),
    );
    const run = spawnSync('zbarimg', [
      '-q',
      '--raw',
      '-Sdisable',
      '-Sqrcode.enable',
      '-Scode128.enable',
      file,
    ]);
    return run.stdout.toString('utf8').split('\n').filter(Boolean);
  });
}

/** Pages of a PDF as grey pictures, by Ghostscript. */
export function renderPdf(pdf: Uint8Array, dpi: number): Grey[] {
  return inTemporaryFolder((folder) => {
    writeFileSync(join(folder, 'labels.pdf'), pdf);
    const run = spawnSync('gs', [
      '-q',
      '-dNOPAUSE',
      '-dBATCH',
      '-sDEVICE=pgmraw',
      `-r${dpi}`,
      `-sOutputFile=${join(folder, 'page-%03d.pgm')}`,
      join(folder, 'labels.pdf'),
    ]);
    if (run.status !== 0) throw new Error(`gs: ${run.stderr.toString()}${run.stdout.toString()}`);
    return readdirSync(folder)
      .filter((file) => file.endsWith('.pgm'))
      .sort()
      .map((file) => parsePgm(readFileSync(join(folder, file))));
  });
}

function parsePgm(bytes: Buffer): Grey {
  const header = /^P5\s(?:#.*\n)?(\d+) (\d+)\s255\s/.exec(
    bytes.subarray(0, 200).toString('latin1'),
  );
  if (!header) throw new Error('not a PGM file');
  const [whole, width, height] = header;
  return {
    width: Number(width),
    height: Number(height),
    data: new Uint8ClampedArray(bytes.subarray(whole.length)),
  };
}

function inTemporaryFolder<T>(work: (folder: string) => T): T {
  const folder = mkdtempSync(join(tmpdir(), 'labels-'));
  try {
    return work(folder);
  } finally {
    rmSync(folder, { recursive: true });
  }
}
