/** A report as data: what it is called, what it rests on, its tables. Drawn as CSV, XLSX or PDF. */
export interface Report {
  readonly title: string;
  readonly estateName: string;
  readonly facts: readonly (readonly [name: string, value: string])[];
  /** Cautions and how to read it. */
  readonly notes: readonly string[];
  readonly tables: readonly ReportTable[];
}

export interface ReportTable {
  readonly name: string;
  readonly columns: readonly ReportColumn[];
  readonly rows: readonly (readonly Cell[])[];
}

export interface ReportColumn {
  readonly title: string;
  /** Present for figures: how many decimals are shown on paper. Files for spreadsheets carry every digit. */
  readonly decimals?: number;
  /** Share of the page's width on paper. */
  readonly width: number;
}

export type Cell = string | number | null;

/** An instant to the minute, as reports write it. */
export const instantWords = (at: string): string => `${at.slice(0, 16).replace('T', ' ')} UTC`;

/** A figure as paper shows it. */
export const onPaper = (cell: Cell, decimals = 0): string =>
  typeof cell === 'number'
    ? cell
        .toFixed(decimals)
        .replace(/\B(?=(\d{3})+(?!\d))/g, '\u202f')
        .replace('-', '−')
    : (cell ?? '');
