export {
  FIELDS,
  EXAMPLE_FIELDS,
  findField,
  isFieldName,
  type FieldDescription,
  type Fields,
} from './fields.ts';
export {
  FONT_NAMES,
  parseTemplate,
  type FontName,
  type Template,
  type TemplateResult,
} from './template.ts';
export {
  parseTemplateText,
  type TemplateProblem,
  type TemplateTextResult,
} from './template-text.ts';
export { placeOnSheet, type Place, type Sheet, type SheetAdjustment } from './sheet.ts';
export { openFonts, type Face, type Fonts } from './fonts.ts';
export {
  makeLinear,
  makeQr,
  outlineModules,
  type CodeSymbol,
  type QrLevel,
  type Symbology,
} from './symbol.ts';
export { moveDrawing, placeSymbol, type Drawing, type DrawingNote, type Shape } from './drawing.ts';
export { drawLabel, type DrawOptions } from './draw.ts';
export { toSvg, type SvgOptions } from './svg.ts';
export { toPdf, type PdfOptions } from './pdf.ts';
export { testLabel, toTestSheet, type TestPrint } from './test-label.ts';
export { toBitmap } from './bitmap.ts';
export { inkAt, type Bitmap } from './raster.ts';
export { toPng } from './png.ts';
export { toZpl, type ZplOptions } from './zpl.ts';
export {
  preflight,
  wholeDotModuleMm,
  type LabelWarning,
  type Preflight,
  type Printing,
  type SymbolReport,
  type WarningKind,
} from './preflight.ts';
export { dotsPerMm } from './units.ts';
