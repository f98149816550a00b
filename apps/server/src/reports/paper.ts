/** Plain paper documents as PDF: text, facts and tables, in one face. */
import { readFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import { dirname, join } from 'node:path';
import { PDFDocument, rgb, type PDFFont, type PDFPage } from '@cantoo/pdf-lib';
import * as fontkit from 'fontkit';

const A4 = { width: 595.28, height: 841.89 };
const MARGIN = 48;
const INK = rgb(0.08, 0.08, 0.08);
const SOFT = rgb(0.35, 0.35, 0.35);
const LINE = 12;

/** A table's column: its left edge from the margin and its width, in points. */
export interface PaperColumn {
  readonly title: string;
  readonly at: number;
  readonly width: number;
  /** Figures stand at the right. */
  readonly numeric?: boolean;
}

/** Text and tables from the top of the page down, on as many pages as it takes. */
export class Paper {
  readonly #pdf: PDFDocument;
  readonly #fonts: { plain: Face; bold: Face };
  readonly #size: typeof A4;
  #page: PDFPage;
  #y = 0;

  private constructor(pdf: PDFDocument, fonts: { plain: Face; bold: Face }, size: typeof A4) {
    this.#pdf = pdf;
    this.#fonts = fonts;
    this.#size = size;
    this.#page = this.#newPage();
  }

  static async begin(title: string, lie: 'upright' | 'across' = 'upright'): Promise<Paper> {
    const pdf = await PDFDocument.create({ updateMetadata: false });
    pdf.registerFontkit(fontkit as never);
    pdf.setTitle(title, { showInWindowTitleBar: true });
    pdf.setProducer('Rundlet');
    const fonts = {
      plain: faceOf(await pdf.embedFont(fontBytes('DejaVuSansCondensed.ttf'), { subset: true })),
      bold: faceOf(
        await pdf.embedFont(fontBytes('DejaVuSansCondensed-Bold.ttf'), { subset: true }),
      ),
    };
    const size = lie === 'upright' ? A4 : { width: A4.height, height: A4.width };
    return new Paper(pdf, fonts, size);
  }

  /** Between the margins, in points. */
  get width(): number {
    return this.#size.width - 2 * MARGIN;
  }
  #newPage(): PDFPage {
    this.#y = this.#size.height - MARGIN;
    return this.#pdf.addPage([this.#size.width, this.#size.height]);
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
    for (const part of wrapped(text, font, size, this.width)) {
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
    const parts = wrapped(value, this.#fonts.plain, 9, this.width - 78);
    for (const [i, part] of parts.entries()) {
      this.#room(13);
      this.#y -= 13;
      if (i === 0) this.#draw(name, MARGIN, this.#fonts.plain, 9, SOFT);
      this.#draw(part, MARGIN + 78, this.#fonts.plain, 9, INK);
    }
  }
  table(columns: readonly PaperColumn[], rows: readonly (readonly string[])[]): void {
    const head = () => {
      this.#row(
        columns,
        columns.map(({ title }) => title),
        null,
      );
    };
    head();
    for (const row of rows) this.#row(columns, row, head);
  }
  /** A row of a table, or without `head` the head itself. */
  #row(columns: readonly PaperColumn[], cells: readonly string[], head: (() => void) | null): void {
    const font = head === null ? this.#fonts.bold : this.#fonts.plain;
    const parts = cells.map((cell, i) => wrapped(cell, font, 8, columns[i]?.width ?? 100));
    const height = LINE * Math.max(1, ...parts.map((p) => p.length));
    if (!this.#room(height) && head) head();
    const top = this.#y;
    for (const [i, lines] of parts.entries())
      for (const [n, part] of lines.entries()) {
        const { at = 0, width = 0, numeric } = columns[i] ?? {};
        const shift = numeric ? width - font.width(part) * 8 : 0;
        this.#y = top - LINE * (n + 1) + 3;
        this.#draw(part, MARGIN + at + shift, font, 8, head === null ? SOFT : INK);
      }
    this.#y = top - height;
    this.#page.drawLine({
      start: { x: MARGIN, y: this.#y },
      end: { x: this.#size.width - MARGIN, y: this.#y },
      thickness: head === null ? 0.8 : 0.25,
      color: SOFT,
    });
  }
  #draw(text: string, x: number, { font }: Face, size: number, color: typeof INK): void {
    this.#page.drawText(text, { x, y: this.#y, size, font, color });
  }
  /** The finished file, each page with its number. */
  end(foot: string): Promise<Uint8Array> {
    const pages = this.#pdf.getPages();
    for (const [i, page] of pages.entries())
      page.drawText(`${foot} · page ${String(i + 1)} of ${String(pages.length)}`, {
        x: MARGIN,
        y: MARGIN - 16,
        size: 8,
        font: this.#fonts.plain.font,
        color: SOFT,
      });
    return this.#pdf.save();
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
