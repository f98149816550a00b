import { Paper } from './paper.ts';
import { onPaper, type Report } from './report.ts';

/** Between columns, points. */
const GAP = 6;

/** The report on paper, A4 across. */
export async function reportPdf({
  title,
  estateName,
  facts,
  notes,
  tables,
}: Report): Promise<Uint8Array> {
  const paper = await Paper.begin(title, 'across');
  paper.text(estateName, { soft: true });
  paper.text(title, { size: 18, bold: true });
  for (const [name, value] of facts) paper.fact(name, value);
  paper.gap(4);
  for (const note of notes) paper.text(note, { bold: true });
  for (const { name, columns, rows } of tables) {
    paper.title(name);
    if (rows.length === 0) {
      paper.text('None.');
      continue;
    }
    let at = 0;
    const placed = columns.map(({ title: head, decimals, width }) => {
      const column = {
        title: head,
        at,
        width: width * paper.width - GAP,
        numeric: decimals !== undefined,
      };
      at += width * paper.width;
      return column;
    });
    paper.table(
      placed,
      rows.map((row) => row.map((cell, i) => onPaper(cell, columns[i]?.decimals))),
    );
  }
  return paper.end(`${estateName} · ${title}`);
}
