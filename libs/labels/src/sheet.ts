/** Sheets of labels: where the n-th label lies, and the trimming every printer needs. */
import { z } from 'zod';

const mm = z.number().finite().min(0).max(1000);

export const sheetSchema = z
  .strictObject({
    name: z.string().min(1).max(80),
    pageWidthMm: mm.positive(),
    pageHeightMm: mm.positive(),
    columns: z.number().int().min(1).max(40),
    rows: z.number().int().min(1).max(60),
    labelWidthMm: mm.positive(),
    labelHeightMm: mm.positive(),
    /** Top left corner of the first label. */
    leftMm: mm,
    topMm: mm,
    /** From one label's corner to the next one's. */
    pitchAcrossMm: mm.positive(),
    pitchDownMm: mm.positive(),
  })
  .refine((sheet) => fits(sheet), { error: 'its labels do not all lie on the page, or overlap' });

export type Sheet = z.output<typeof sheetSchema>;

export interface SheetAdjustment {
  /** Moves everything right and down: printers pull paper in a millimetre or two askew. */
  readonly rightMm?: number;
  readonly downMm?: number;
  /** Added to each pitch: rows that drift over a page are pulled back. */
  readonly pitchAcrossMm?: number;
  readonly pitchDownMm?: number;
}

export interface Place {
  readonly page: number;
  readonly xMm: number;
  readonly yMm: number;
}

/** Where label `index` (from 0) goes when the first one takes position `startPosition` (from 1, left to right, then down). */
export function placeOnSheet(
  sheet: Sheet,
  index: number,
  startPosition = 1,
  adjust: SheetAdjustment = {},
): Place {
  const perPage = sheet.columns * sheet.rows;
  if (!Number.isInteger(startPosition) || startPosition < 1 || startPosition > perPage)
    throw new RangeError(
      `startPosition is ${startPosition}; ${sheet.name} has positions 1 to ${perPage}.`,
    );
  const cell = startPosition - 1 + index;
  const column = cell % sheet.columns;
  const row = Math.floor((cell % perPage) / sheet.columns);
  return {
    page: Math.floor(cell / perPage),
    xMm:
      sheet.leftMm +
      (adjust.rightMm ?? 0) +
      column * (sheet.pitchAcrossMm + (adjust.pitchAcrossMm ?? 0)),
    yMm: sheet.topMm + (adjust.downMm ?? 0) + row * (sheet.pitchDownMm + (adjust.pitchDownMm ?? 0)),
  };
}

function fits(sheet: {
  pageWidthMm: number;
  pageHeightMm: number;
  columns: number;
  rows: number;
  labelWidthMm: number;
  labelHeightMm: number;
  leftMm: number;
  topMm: number;
  pitchAcrossMm: number;
  pitchDownMm: number;
}): boolean {
  const right = sheet.leftMm + (sheet.columns - 1) * sheet.pitchAcrossMm + sheet.labelWidthMm;
  const bottom = sheet.topMm + (sheet.rows - 1) * sheet.pitchDownMm + sheet.labelHeightMm;
  return (
    right <= sheet.pageWidthMm + 0.5 &&
    bottom <= sheet.pageHeightMm + 0.5 &&
    sheet.pitchAcrossMm >= sheet.labelWidthMm &&
    sheet.pitchDownMm >= sheet.labelHeightMm
  );
}
