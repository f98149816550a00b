/** A stock-take's sheet on paper: what was counted, what differed and why, and who stands for it. */
import { readFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import { dirname, join } from 'node:path';
import { PDFDocument, rgb, type PDFFont, type PDFPage } from '@cantoo/pdf-lib';
import type { Stocktake, StocktakeLineView, StocktakeTally } from '@rundlet/contracts';
import * as fontkit from 'fontkit';

export interface SheetFacts {
  readonly estateName: string;
  readonly stocktake: Stocktake;
  readonly tally: StocktakeTally;
  readonly lines: readonly StocktakeLineView[];
  readonly scope: string;
  readonly openedBy: string;
  readonly reconciledBy: string | null;
  readonly signedBy: string | null;
  readonly counters: readonly { readonly name: string; readonly casks: number }[];
  readonly sampleSays: string | null;
  /** Words for the positions that the lines name. */
  readonly places: ReadonlyMap<string, string>;
  readonly printedAt: string;
}

const A4 = { width: 595.28, height: 841.89 };
const MARGIN = 48;
const INK = rgb(0.08, 0.08, 0.08);
const SOFT = rgb(0.35, 0.35, 0.35);
/** Left edges of the table's columns, in points from the margin. */
const COLUMNS = [
  { title: 'Code', at: 0, width: 74 },
  { title: 'State', at: 78, width: 66 },
  { title: 'By the book', at: 148, width: 118 },
  { title: 'Found at', at: 270, width: 118 },
  { title: 'Settled, and why', at: 392, width: 107 },
] as const;
const LINE = 12;

const WORDS: Record<StocktakeLineView['line']['state'], string> = {
  expected: 'not seen',
  found: 'found',
  misplaced: 'misplaced',
  missing: 'missing',
  unknown: 'unknown',
  left: 'left by the book',
};

export async function sheetPdf(facts: SheetFacts): Promise<Uint8Array> {
  const pdf = await PDFDocument.create({ updateMetadata: false });
  pdf.registerFontkit(fontkit as never);
  pdf.setTitle(`Stock-take ${facts.stocktake.code}`, { showInWindowTitleBar: true });
  pdf.setProducer('Rundlet');
  const fonts = {
    plain: faceOf(await pdf.embedFont(fontBytes('DejaVuSansCondensed.ttf'), { subset: true })),
    bold: faceOf(await pdf.embedFont(fontBytes('DejaVuSansCondensed-Bold.ttf'), { subset: true })),
  };
  const paper = new Paper(pdf, fonts);
  head(paper, facts);
  const differences = facts.lines.filter(({ line }) => line.state !== 'found');
  paper.title(`Differences (${String(differences.length)})`);
  if (differences.length === 0) paper.text('None: every cask stood where the book has it.');
  else table(paper, differences, facts);
  signatures(paper, facts);
  paper.title(`Every line, in walking order (${String(facts.lines.length)})`);
  table(paper, facts.lines, facts);
  paper.number(`${facts.estateName} · stock-take ${facts.stocktake.code}`);
  return pdf.save();
}

function head(paper: Paper, facts: SheetFacts): void {
  const { stocktake, tally } = facts;
  paper.text(facts.estateName, { soft: true });
  paper.text(stocktake.title, { size: 18, bold: true });
  const status = {
    open: 'Open: not settled and not signed',
    reconciled: 'Settled, not signed yet',
    signed: 'Signed',
    abandoned: `Given up: ${stocktake.statement ?? ''}`,
  }[stocktake.status];
  for (const [name, value] of [
    ['Code', stocktake.code],
    ['State', status],
    ['Scope', facts.scope],
    ['Opened', `${instant(stocktake.openedAt)}, by ${facts.openedBy}`],
    ['Counted', stocktake.blind ? 'blind: counters were not shown the book' : 'guided by the book'],
    ['Counters', facts.counters.map((c) => `${c.name} (${String(c.casks)})`).join(', ') || 'none'],
    ['Printed', instant(facts.printedAt)],
  ] as const)
    paper.fact(name, value);
  paper.gap(4);
  paper.text(
    [
      `${String(tally.expected)} expected`,
      `${String(tally.found)} found`,
      `${String(tally.misplaced)} misplaced`,
      `${String(tally.missing)} missing`,
      `${String(tally.stillToFind)} not seen`,
      `${String(tally.unknown)} unknown`,
      `${String(tally.twice)} counted twice`,
      `${String(tally.damagedLabels)} labels damaged`,
      `${String(tally.left)} left by the book meanwhile`,
      `${String(tally.extra)} come by the book meanwhile`,
    ].join(' · '),
    { bold: true },
  );
  if (facts.sampleSays) paper.text(facts.sampleSays);
}

function table(paper: Paper, lines: readonly StocktakeLineView[], facts: SheetFacts): void {
  paper.row(
    COLUMNS.map(({ title }) => title),
    { head: true },
  );
  for (const { line } of lines) {
    const remarks = [
      line.timesCounted > 1 ? `${String(line.timesCounted)} times` : '',
      line.damagedLabel ? 'label' : '',
      line.bookMoves.length > 0 && line.expectedPositionId !== null ? 'moved' : '',
    ].filter(Boolean);
    paper.row([
      line.code,
      [WORDS[line.state], ...remarks].join(', '),
      facts.places.get(line.expectedPositionId ?? '') ?? '',
      facts.places.get(line.foundPositionId ?? '') ?? '',
      line.resolution?.replace(/^[a-z-]+: /, '') ?? '',
    ]);
  }
}

function signatures(paper: Paper, facts: SheetFacts): void {
  const { stocktake } = facts;
  paper.title('Who stands for it');
  paper.fact('Settled by', facts.reconciledBy ?? '____________________________');
  paper.fact(
    'Signed by',
    facts.signedBy && stocktake.signedAt
      ? `${facts.signedBy}, ${instant(stocktake.signedAt)}: ${stocktake.statement ?? ''}`
      : '____________________________',
  );
}

const instant = (at: string): string => `${at.slice(0, 10)} ${at.slice(11, 16)} UTC`;

/** Text from the top of the page down, on as many pages as it takes. */
class Paper {
  readonly #pdf: PDFDocument;
  readonly #fonts: { plain: Face; bold: Face };
  #page: PDFPage;
  #y = 0;

  constructor(pdf: PDFDocument, fonts: { plain: Face; bold: Face }) {
    this.#pdf = pdf;
    this.#fonts = fonts;
    this.#page = this.#newPage();
  }
  #newPage(): PDFPage {
    this.#y = A4.height - MARGIN;
    return this.#pdf.addPage([A4.width, A4.height]);
  }
  #room(height: number): boolean {
    if (this.#y - height >= MARGIN + 16) return true;
    this.#page = this.#newPage();
    return false;
  }
  gap(height: number): void {
    this.#y -= height;
  }
  text(text: string, options: { size?: number; bold?: boolean; soft?: boolean } = {}): void {
    const { size = 9, bold = false, soft = false } = options;
    const font = bold ? this.#fonts.bold : this.#fonts.plain;
    for (const part of wrapped(text, font, size, A4.width - 2 * MARGIN)) {
      this.#room(size * 1.4);
      this.#y -= size * 1.4;
      this.#draw(part, MARGIN, font, size, soft ? SOFT : INK);
    }
  }
  title(text: string): void {
    this.#room(60);
    this.gap(14);
    this.text(text, { size: 12, bold: true });
    this.gap(3);
  }
  fact(name: string, value: string): void {
    const parts = wrapped(value, this.#fonts.plain, 9, A4.width - 2 * MARGIN - 78);
    for (const [i, part] of parts.entries()) {
      this.#room(13);
      this.#y -= 13;
      if (i === 0) this.#draw(name, MARGIN, this.#fonts.plain, 9, SOFT);
      this.#draw(part, MARGIN + 78, this.#fonts.plain, 9, INK);
    }
  }
  row(cells: readonly string[], { head = false } = {}): void {
    const font = head ? this.#fonts.bold : this.#fonts.plain;
    const parts = cells.map((cell, i) => wrapped(cell, font, 8, COLUMNS[i]?.width ?? 100));
    const height = LINE * Math.max(1, ...parts.map((p) => p.length));
    if (!this.#room(height) && !head)
      this.row(
        COLUMNS.map(({ title }) => title),
        { head: true },
      );
    const top = this.#y;
    for (const [i, lines] of parts.entries())
      for (const [n, part] of lines.entries()) {
        this.#y = top - LINE * (n + 1) + 3;
        this.#draw(part, MARGIN + (COLUMNS[i]?.at ?? 0), font, 8, head ? SOFT : INK);
      }
    this.#y = top - height;
    this.#page.drawLine({
      start: { x: MARGIN, y: this.#y },
      end: { x: A4.width - MARGIN, y: this.#y },
      thickness: head ? 0.8 : 0.25,
      color: SOFT,
    });
  }
  #draw(text: string, x: number, { font }: Face, size: number, color: typeof INK): void {
    this.#page.drawText(text, { x, y: this.#y, size, font, color });
  }
  number(foot: string): void {
    const pages = this.#pdf.getPages();
    for (const [i, page] of pages.entries())
      page.drawText(`${foot} · page ${String(i + 1)} of ${String(pages.length)}`, {
        x: MARGIN,
        y: MARGIN - 16,
        size: 8,
        font: this.#fonts.plain.font,
        color: SOFT,
      });
  }
}

/** Lines no wider than `width`, broken at blanks; a word that is wider alone is cut. */
function wrapped(text: string, face: Face, size: number, width: number): string[] {
  const most = width / size;
  const lines: string[] = [''];
  let reach = 0;
  for (const word of text.replace(/\s+/g, ' ').split(' ')) {
    const last = lines.at(-1) ?? '';
    const joined = last === '' ? word : `${last} ${word}`;
    const wide = (last === '' ? 0 : reach + face.width(' ')) + face.width(word);
    if (wide <= most) {
      lines[lines.length - 1] = joined;
      reach = wide;
      continue;
    }
    let rest = word;
    if (last !== '') lines.push('');
    while (face.width(rest) > most) {
      let cut = rest.length - 1;
      while (cut > 1 && face.width(rest.slice(0, cut)) > most) cut--;
      lines[lines.length - 1] = rest.slice(0, cut);
      lines.push('');
      rest = rest.slice(cut);
    }
    lines[lines.length - 1] = rest;
    reach = face.width(rest);
  }
  return lines;
}

/** A font that lays out each text once: on a sheet the same words come thousands of times. */
interface Face {
  readonly font: PDFFont;
  /** Width at size 1. */
  readonly width: (text: string) => number;
}
function faceOf(font: PDFFont): Face {
  const width = remembered((text) => font.widthOfTextAtSize(text, 1));
  font.encodeText = remembered(font.encodeText.bind(font));
  return { font, width };
}
function remembered<T>(work: (text: string) => T): (text: string) => T {
  const known = new Map<string, T>();
  return (text) => {
    const found = known.get(text) ?? work(text);
    known.set(text, found);
    return found;
  };
}

const files = new Map<string, Uint8Array>();
function fontBytes(name: string): Uint8Array {
  const known = files.get(name);
  if (known) return known;
  const anyFace = createRequire(import.meta.url).resolve('dejavu-fonts-ttf/ttf/DejaVuSans.ttf');
  const bytes = new Uint8Array(readFileSync(join(dirname(anyFace), name)));
  files.set(name, bytes);
  return bytes;
}
