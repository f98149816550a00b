/** The worker's side of labels: fonts, drawing, writing in one format or another. */
import { readFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import { dirname, join } from 'node:path';
import type { CodeReport, LabelFormat, Printer, TemplateTrial } from '@rundlet/contracts';
import {
  drawLabel,
  EXAMPLE_FIELDS,
  moveDrawing,
  openFonts,
  parseTemplateText,
  preflight,
  testLabel,
  toPdf,
  toPng,
  toSvg,
  toTestSheet,
  toZpl,
  type Drawing,
  type Fields,
  type FontName,
  type Fonts,
  type SymbolReport,
  type Template,
} from '@rundlet/labels';
import { strToU8, zipSync, type Zippable } from 'fflate';
import type { z } from 'zod';
import type { TaskContext } from '../jobs/serve-tasks.ts';
import { Refusal } from '../platform/refusals.ts';

/** How a printer's output is to be moved, and what it can print; without one nothing is moved. */
export type Printing = Pick<
  Printer,
  'dpi' | 'printableWidthMm' | 'rightMm' | 'downMm' | 'pitchAcrossMm' | 'pitchDownMm'
>;
export const unmoved = (dpi: Printer['dpi']): Printing => ({
  dpi,
  printableWidthMm: null,
  rightMm: 0,
  downMm: 0,
  pitchAcrossMm: 0,
  pitchDownMm: 0,
});

export interface LabelOrder {
  readonly template: Template;
  readonly fields: readonly Fields[];
  /** What each label is called where one alone is meant. */
  readonly names: readonly string[];
  readonly printing: Printing;
  readonly language: string | undefined;
}
export interface RenderOrder extends LabelOrder {
  readonly templateId: string;
  readonly format: z.infer<typeof LabelFormat>;
  readonly startPosition: number;
  readonly outline: boolean;
}
export interface TestOrder {
  readonly template: Template;
  readonly templateId: string;
  readonly format: 'pdf' | 'zpl';
  readonly printing: Printing;
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

/** Drawing is most of the work; the file is written at the end in one go. */
const SHARE_OF_DRAWING = 0.8;

export async function renderLabels(order: RenderOrder, context: TaskContext): Promise<LabelFile> {
  const { template, templateId, format, printing, startPosition, outline, names } = order;
  const { dpi } = printing;
  const { sheet } = template;
  const drawn: Drawing[] = [];
  for (const drawing of draw(order)) {
    // On a sheet the whole page is moved; alone, each label is.
    drawn.push(sheet ? drawing : moveDrawing(drawing, printing.rightMm, printing.downMm));
    context.progress({
      share: (SHARE_OF_DRAWING * drawn.length) / names.length,
      detail: { drawn: drawn.length, of: names.length },
    });
    if (context.shouldStop()) throw new Refusal(409, 'stopped', 'Stopped before all were drawn.');
  }
  const drawings = drawn;
  if (format === 'pdf') {
    const content = await toPdf(drawings, {
      ...(sheet ? { sheet, startPosition, outlines: outline, adjust: printing } : {}),
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

/** Outlines and rules of a template, moved as the printer's output is. */
export async function renderTest(order: TestOrder): Promise<LabelFile> {
  const { template, templateId, format, printing } = order;
  const name = `test-${templateId}.${format}`;
  if (format === 'zpl') {
    const label = moveDrawing(testLabel(template, fonts()), printing.rightMm, printing.downMm);
    return {
      name,
      contentType: 'text/plain; charset=utf-8',
      content: toZpl(label, printing.dpi),
    };
  }
  return {
    name,
    contentType: 'application/pdf',
    content: await toTestSheet(template, { fonts: fonts(), adjust: printing, dpi: printing.dpi }),
  };
}

/** Warnings about a run, each once, how far its codes are read from, and the codes of the first label. */
export function checkLabels(order: LabelOrder): {
  warnings: string[];
  readingDistanceM: number | null;
  codes: CodeReport[];
} {
  const { dpi, printableWidthMm } = order.printing;
  const warnings = new Set<string>();
  let nearest: number | null = null;
  let codes: CodeReport[] | null = null;
  for (const drawing of draw(order)) {
    const { symbols, warnings: found } = preflight(drawing, {
      dpi,
      ...(printableWidthMm === null ? {} : { printerWidthMm: printableWidthMm }),
    });
    for (const { message } of found) warnings.add(message);
    const best = Math.max(0, ...symbols.map((s) => s.readingDistanceM.video1080p));
    if (symbols.length > 0) nearest = Math.min(nearest ?? Infinity, best);
    codes ??= symbols.map(reportOf);
  }
  return { warnings: [...warnings], readingDistanceM: nearest, codes: codes ?? [] };
}

export interface TrialOrder {
  readonly text: string;
  readonly fields: 'examples' | 'required' | Fields;
  readonly dpi: Printing['dpi'];
  readonly language: string | undefined;
}

/** Draws a template that is being written; what is wrong is named at its line. */
export function tryTemplate({ text, fields, dpi, language }: TrialOrder): TemplateTrial {
  const parsed = parseTemplateText(text);
  if (parsed.status === 'invalid')
    return {
      svg: null,
      widthMm: 0,
      heightMm: 0,
      codes: [],
      problems: parsed.problems.map((problem) => ({ tone: 'fault', ...problem })),
    };
  const { template, placeOfItem } = parsed;
  const size = { widthMm: template.widthMm, heightMm: template.heightMm };
  const options = { fonts: fonts(), ...(language === undefined ? {} : { language }) };
  try {
    const drawing = drawLabel(template, fieldsFor(template, fields), options);
    const { symbols, warnings } = preflight(drawing, { dpi });
    return {
      svg: toSvg(drawing, { dpi }),
      ...size,
      codes: symbols.map(reportOf),
      problems: warnings.map(({ message, item }) => ({
        tone: 'caution',
        message,
        path: item === undefined ? '' : `/items/${String(item)}`,
        ...(item === undefined ? { line: null, column: null } : placeOfItem(item)),
      })),
    };
  } catch (error) {
    if (!(error instanceof RangeError)) throw error;
    const problem = { path: '', line: null, column: null, message: error.message };
    return { svg: null, ...size, codes: [], problems: [{ tone: 'fault', ...problem }] };
  }
}

function fieldsFor(template: Template, fields: TrialOrder['fields']): Fields {
  if (typeof fields === 'object') return fields;
  if (fields === 'examples') return EXAMPLE_FIELDS;
  return Object.fromEntries(template.requires.map((name) => [name, EXAMPLE_FIELDS[name]]));
}

const reportOf = (symbol: SymbolReport): CodeReport => ({
  symbology: symbol.symbology,
  text: symbol.text,
  level: symbol.level ?? null,
  moduleMm: symbol.moduleMm,
  moduleDots: symbol.moduleDots,
  widthMm: symbol.widthMm,
  quietZoneMm: symbol.quietZoneMm,
  readingDistanceM: symbol.readingDistanceM.video1080p,
});

function* draw({ template, fields, names, language }: LabelOrder): Generator<Drawing> {
  const options = { fonts: fonts(), ...(language === undefined ? {} : { language }) };
  for (const [i, of] of fields.entries())
    try {
      yield drawLabel(template, of, options);
    } catch (error) {
      if (!(error instanceof RangeError)) throw error;
      throw new Refusal(422, 'label-impossible', `${names[i] ?? 'A label'}: ${error.message}`);
    }
}
