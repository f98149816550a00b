import writeXlsx from 'write-excel-file/node';
import { toCsv } from '../imports/csv.ts';
import type { Report, ReportTable } from './report.ts';

/** One table as CSV, for other programs. */
export const tableCsv = ({ columns, rows }: ReportTable): string =>
  toCsv(
    columns.map(({ title }) => title),
    rows,
  );

/** Tables of figures in one, for other programs: each row names its table and fills the columns that this one has. */
export function tablesCsv(tables: readonly ReportTable[]): string {
  const figures = tables.filter(({ columns }) => columns.some((c) => c.decimals !== undefined));
  const titles = [...new Set(figures.flatMap(({ columns }) => columns.map((c) => c.title)))];
  return toCsv(
    ['Table', ...titles],
    figures.flatMap(({ name, columns, rows }) => {
      const places = titles.map((title) => columns.findIndex((c) => c.title === title));
      return rows.map((row) => [name, ...places.map((place) => row[place] ?? null)]);
    }),
  );
}

const SHEET_NAME_LENGTH = 31;
/** Characters a spreadsheet column is wide for each hundredth of a page. */
const WIDTH = 1.1;

/**
 * A workbook: a sheet of facts and notes, then a sheet for each table. Figures are numbers; text is typed as text, so that no
 * spreadsheet takes it for a formula, whatever it begins with.
 */
export async function reportXlsx({
  title,
  estateName,
  facts,
  notes,
  tables,
}: Report): Promise<Uint8Array> {
  const bold = (value: string) => ({ value, type: String, fontWeight: 'bold' }) as const;
  const text = (value: string) => ({ value, type: String });
  const sheets = [
    {
      sheet: 'About',
      columns: [{ width: 24 }, { width: 90 }],
      data: [
        [bold(title)],
        [text(estateName)],
        ...facts.map(([name, value]) => [text(name), text(value)]),
        ...notes.map((note) => [null, { ...text(note), wrap: true }]),
      ],
    },
    ...tables.map(({ name, columns, rows }) => ({
      sheet: name.slice(0, SHEET_NAME_LENGTH),
      stickyRowsCount: 1,
      columns: columns.map(({ width }) => ({ width: Math.max(10, width * 100 * WIDTH) })),
      data: [
        columns.map((column) => bold(column.title)),
        ...rows.map((row) =>
          row.map((cell, i) =>
            typeof cell === 'number'
              ? { value: cell, type: Number, format: formatOf(columns[i]?.decimals ?? 0) }
              : cell === null
                ? null
                : text(cell),
          ),
        ),
      ],
    })),
  ];
  return writeXlsx(sheets).toBuffer();
}

const formatOf = (decimals: number): string =>
  decimals === 0 ? '#,##0' : `#,##0.${'0'.repeat(decimals)}`;
