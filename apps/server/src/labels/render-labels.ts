/** The worker's side of labels: fonts, drawing, writing in one format or another. */
import { readFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import { dirname, join } from 'node:path';
import type { LabelFormat } from '@rundlet/contracts';
import {
  drawLabel,
  openFonts,
  preflight,
  toPdf,
  toPng,
  toSvg,
  toZpl,
  type Drawing,
  type Fields,
  type FontName,
  type Fonts,
  type Template,
} from '@rundlet/labels';
import { strToU8, zipSync, type Zippable } from 'fflate';
import type { z } from 'zod';
import { Refusal } from '../platform/refusals.ts';

export interface LabelOrder {
  readonly template: Template;
  readonly fields: readonly Fields[];
  /** What each label is called where one alone is meant. */
  readonly names: readonly string[];
  readonly dpi: number;
  readonly language: string | undefined;
}
export interface RenderOrder extends LabelOrder {
  readonly templateId: string;
  readonly format: z.infer<typeof LabelFormat>;
  readonly startPosition: number;
  readonly outline: boolean;
}
export interface LabelFile {
  readonly name: string;
  readonly contentType: string;
  readonly content: Uint8Array | string;
}

const FONT_FILES: Record<FontName, string> = {
  serif: 'DejaVuSerifCondensed.ttf',
  'serif-bold': 'DejaVuSerifCondensed-Bold.ttf',
  'serif-italic': 'DejaVuSerifCondensed-Italic.ttf',
  sans: 'DejaVuSansCondensed.ttf',
  'sans-bold': 'DejaVuSansCondensed-Bold.ttf',
  mono: 'DejaVuSansMono.ttf',
  'mono-bold': 'DejaVuSansMono-Bold.ttf',
};

let opened: Fonts | null = null;
/** Opened once a thread: glyphs are kept inside. */
function fonts(): Fonts {
  if (opened) return opened;
  const folder = dirname(
    createRequire(import.meta.url).resolve('dejavu-fonts-ttf/ttf/DejaVuSans.ttf'),
  );
  const files = Object.entries(FONT_FILES).map(([name, file]) => [
    name,
    new Uint8Array(readFileSync(join(folder, file))),
  ]);
  return (opened = openFonts(Object.fromEntries(files) as Record<FontName, Uint8Array>));
}

export async function renderLabels(order: RenderOrder): Promise<LabelFile> {
  const { template, templateId, format, dpi, startPosition, outline, names } = order;
  const drawings = draw(order);
  if (format === 'pdf') {
    const { sheet } = template;
    const content = await toPdf(drawings, {
      ...(sheet ? { sheet, startPosition, outlines: outline } : {}),
      dpi,
      title: `${template.name}: ${String(drawings.length)} labels`,
    });
    return { name: `${templateId}.pdf`, contentType: 'application/pdf', content };
  }
  if (format === 'zpl')
    return {
      name: `${templateId}.zpl`,
      contentType: 'text/plain; charset=utf-8',
      content: drawings.map((drawing) => toZpl(drawing, dpi)).join(''),
    };
  const pictures = drawings.map((drawing) =>
    format === 'svg' ? toSvg(drawing, { dpi }) : toPng(drawing, dpi),
  );
  const [only] = pictures;
  if (pictures.length === 1 && only !== undefined)
    return {
      name: `${names[0] ?? templateId}.${format}`,
      contentType: format === 'svg' ? 'image/svg+xml' : 'image/png',
      content: only,
    };
  const files: Zippable = {};
  for (const [i, picture] of pictures.entries()) {
    const number = String(i + 1).padStart(4, '0');
    files[`${number}-${names[i] ?? 'label'}.${format}`] = [
      typeof picture === 'string' ? strToU8(picture) : picture,
      { level: format === 'svg' ? 6 : 0 },
    ];
  }
  return {
    name: `${templateId}-${format}.zip`,
    contentType: 'application/zip',
    content: zipSync(files),
  };
}

/** Warnings about a run, each once, and how far its codes are read from. */
export function checkLabels(order: LabelOrder): {
  warnings: string[];
  readingDistanceM: number | null;
} {
  const warnings = new Set<string>();
  let nearest: number | null = null;
  for (const drawing of draw(order)) {
    const { symbols, warnings: found } = preflight(drawing, { dpi: order.dpi });
    for (const { message } of found) warnings.add(message);
    const best = Math.max(0, ...symbols.map((s) => s.readingDistanceM.video1080p));
    if (symbols.length > 0) nearest = Math.min(nearest ?? Infinity, best);
  }
  return { warnings: [...warnings], readingDistanceM: nearest };
}

function draw({ template, fields, names, language }: LabelOrder): Drawing[] {
  const options = { fonts: fonts(), ...(language === undefined ? {} : { language }) };
  return fields.map((of, i) => {
    try {
      return drawLabel(template, of, options);
    } catch (error) {
      if (!(error instanceof RangeError)) throw error;
      throw new Refusal(422, 'label-impossible', `${names[i] ?? 'A label'}: ${error.message}`);
    }
  });
}
