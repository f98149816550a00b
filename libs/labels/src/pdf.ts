/** PDF in true millimetres, one label a page or many on a sheet, with print scaling switched off. */
import { strToU8, zlibSync } from 'fflate';
import * as fontkit from 'fontkit';
import { PDFDocument, PDFName, PrintScaling, type PDFFont } from '@cantoo/pdf-lib';
import type { Drawing } from './drawing.ts';
import { labelOperators, type FontUse } from './pdf-operators.ts';
import { placeOnSheet, type Sheet, type SheetAdjustment } from './sheet.ts';
import type { FontName } from './template.ts';
import { POINTS_PER_MM } from './units.ts';

export interface PdfOptions {
  /** Many labels a page; without it every label is a page of its own size, as a roll printer wants. */
  readonly sheet?: Sheet;
  /** First free label of the first sheet, from 1. */
  readonly startPosition?: number;
  readonly adjust?: SheetAdjustment;
  /** The printer's resolution, so that modules are whole dots; 600 suits lasers, 203 or 300 is on a thermal printer. */
  readonly dpi?: number;
  readonly title?: string;
  /** Outlines of the labels, to lay a printed page over the stock. */
  readonly outlines?: boolean;
  /** A 100 mm rule in the foot margin: it must measure 100 mm on paper. */
  readonly checkRule?: boolean;
}

export async function toPdf(
  drawings: readonly Drawing[],
  options: PdfOptions = {},
): Promise<Uint8Array> {
  const { sheet, startPosition = 1, adjust, dpi = 600 } = options;
  const pdf = await PDFDocument.create({ updateMetadata: false });
  pdf.registerFontkit(fontkit as never);
  pdf.setTitle(options.title ?? drawings[0]?.name ?? sheet?.name ?? 'Labels', {
    showInWindowTitleBar: true,
  });
  pdf.setProducer('Rundlet');
  pdf.catalog.getOrCreateViewerPreferences().setPrintScaling(PrintScaling.None);

  const fonts = await embedFonts(pdf, drawings);
  const pages: { widthMm: number; heightMm: number; operators: string[] }[] = [];
  drawings.forEach((drawing, index) => {
    const { widthMm, heightMm } = drawing;
    const place = sheet
      ? placeOnSheet(sheet, index, startPosition, adjust)
      : { page: index, xMm: adjust?.rightMm ?? 0, yMm: adjust?.downMm ?? 0 };
    const page = (pages[place.page] ??= {
      widthMm: sheet?.pageWidthMm ?? widthMm,
      heightMm: sheet?.pageHeightMm ?? heightMm,
      operators: [],
    });
    page.operators.push(
      labelOperators(drawing, {
        leftMm: place.xMm,
        bottomMm: page.heightMm - place.yMm,
        dpi,
        fonts,
      }),
    );
  });
  if (sheet && pages.length === 0)
    pages.push({ widthMm: sheet.pageWidthMm, heightMm: sheet.pageHeightMm, operators: [] });

  const resources = new Map([...fonts.values()].map(({ key, font }) => [key, font]));
  for (const { widthMm, heightMm, operators } of pages) {
    if (sheet && options.outlines) operators.push(outlineOperators(sheet, adjust));
    if (sheet && options.checkRule) operators.push(ruleOperators(sheet));
    const page = pdf.addPage([widthMm * POINTS_PER_MM, heightMm * POINTS_PER_MM]);
    page.node.normalize();
    for (const [key, font] of resources) page.node.setFontDictionary(PDFName.of(key), font.ref);
    const stream = pdf.context.stream(packed(operators.join('\n')), { Filter: 'FlateDecode' });
    page.node.set(PDFName.of('Contents'), pdf.context.register(stream));
  }
  return pdf.save({ addDefaultPage: false });
}

async function embedFonts(
  pdf: PDFDocument,
  drawings: readonly Drawing[],
): Promise<Map<FontName, FontUse & { font: PDFFont }>> {
  const uses = new Map<FontName, FontUse & { font: PDFFont }>();
  for (const { shapes, fonts } of drawings)
    for (const shape of shapes) {
      if (shape.kind !== 'text' || uses.has(shape.font)) continue;
      const font = await pdf.embedFont(fonts.face(shape.font).bytes, { subset: true });
      const codes = new Map<string, string>();
      const encode = (character: string): string => {
        const known = codes.get(character);
        if (known !== undefined) return known;
        const code = font.encodeText(character).asString();
        codes.set(character, code);
        return code;
      };
      uses.set(shape.font, { key: `F${uses.size + 1}`, encode, font });
    }
  return uses;
}

/** Lightly packed: the symbols are most of a page, and packing them harder costs more time than it saves bytes. */
const packed = (operators: string): Uint8Array => zlibSync(strToU8(operators), { level: 1 });

function outlineOperators(sheet: Sheet, adjust: SheetAdjustment | undefined): string {
  const boxes = Array.from({ length: sheet.columns * sheet.rows }, (_, index) => {
    const { xMm, yMm } = placeOnSheet(sheet, index, 1, adjust);
    const bottom = sheet.pageHeightMm - yMm - sheet.labelHeightMm;
    return `${[xMm, bottom, sheet.labelWidthMm, sheet.labelHeightMm].map((mm) => (mm * POINTS_PER_MM).toFixed(3)).join(' ')} re`;
  });
  return `q 0.3 w ${boxes.join(' ')} S Q`;
}

/** High enough for the margin that office printers leave empty (some 4 mm), low enough for that of the stock. */
const RULE_MM = 7;

function ruleOperators(sheet: Sheet): string {
  const left = (sheet.pageWidthMm - 100) / 2;
  const pt = (mm: number): string => (mm * POINTS_PER_MM).toFixed(3);
  const ticks = Array.from({ length: 11 }, (_, index) => {
    const x = pt(left + index * 10);
    return `${x} ${pt(RULE_MM)} m ${x} ${pt(RULE_MM + (index % 5 === 0 ? 3 : 2))} l`;
  });
  return `q 0.4 w ${pt(left)} ${pt(RULE_MM)} m ${pt(left + 100)} ${pt(RULE_MM)} l ${ticks.join(' ')} S Q`;
}
