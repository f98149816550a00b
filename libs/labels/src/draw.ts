/** Template + fields → drawing. */
import type { Drawing, DrawingNote, Shape, SymbolShape } from './drawing.ts';
import type { Fields } from './fields.ts';
import type { Fonts } from './fonts.ts';
import { makeLinear, makeQr } from './symbol.ts';
import type { Condition, Item, LinearItem, QrItem, Template, TextItem } from './template.ts';
import { setText, textWidthMm } from './typeset.ts';
import { fillWording, parseWording, type Part, type Vocabulary } from './wording.ts';

export interface DrawOptions {
  readonly fonts: Fonts;
  /** Language of the words; the template's own when it has no such words. */
  readonly language?: string;
}

/**
 * Draws one label. Throws RangeError when a field the template requires has no value, or a code cannot hold its text.
 * An item whose text names a field without a value is left out.
 */
export function drawLabel(template: Template, fields: Fields, options: DrawOptions): Drawing {
  const missing = template.requires.filter((name) => isBlank(fields[name]));
  if (missing.length > 0)
    throw new RangeError(
      `"${template.name}" needs ${missing.join(', ')}: give ${missing.length > 1 ? 'them values' : 'it a value'}.`,
    );
  const vocabulary = vocabularyOf(template, options.language);
  const shapes: Shape[] = [];
  const notes: DrawingNote[] = [];
  for (const [index, item] of template.items.entries()) {
    if (!holds(item.when, fields)) continue;
    const text = 'text' in item ? fillWording(partsOf(item), fields, vocabulary) : '';
    if (text === undefined) continue;
    const drawn = drawItem(item, text, options.fonts);
    shapes.push(...drawn.shapes.map((shape) => ({ ...shape, item: index })));
    notes.push(...drawn.notes.map((note) => ({ ...note, item: index })));
  }
  return {
    name: template.name,
    widthMm: template.widthMm,
    heightMm: template.heightMm,
    disc: template.shape === 'disc',
    cornersFreeMm: template.cornersFreeMm,
    readFromM: template.readFromM,
    shapes,
    notes,
    fonts: options.fonts,
  };
}

/** A batch draws the same items a thousand times: their texts are taken apart once. */
const partsOfItems = new WeakMap<object, readonly Part[]>();

function partsOf(item: Item & { text: string }): readonly Part[] {
  const known = partsOfItems.get(item) ?? parseWording(item.text);
  partsOfItems.set(item, known);
  return known;
}

interface Drawn {
  readonly shapes: readonly Shape[];
  readonly notes: readonly DrawingNote[];
}

function drawItem(item: Item, text: string, fonts: Fonts): Drawn {
  switch (item.kind) {
    case 'text':
      return drawText(item, text, fonts);
    case 'rule': {
      const across = item.direction === 'across';
      const widthMm = across ? item.lengthMm : item.strokeMm;
      const heightMm = across ? item.strokeMm : item.lengthMm;
      return plain([{ kind: 'bar', xMm: item.xMm, yMm: item.yMm, widthMm, heightMm }]);
    }
    case 'box':
      return plain(drawBox(item));
    case 'ring':
      return plain([{ ...item, kind: 'ring' }]);
    case 'qr':
      return plain([drawQr(item, text)]);
    case 'code128':
    case 'gs1-128':
      return plain([drawLinear(item, text)]);
  }
}

const plain = (shapes: readonly Shape[]): Drawn => ({ shapes, notes: [] });

function drawText(item: TextItem, text: string, fonts: Fonts): Drawn {
  const face = fonts.face(item.font);
  const trackingEm = item.tracking / 1000;
  const minPt = Math.min(item.sizePt, item.minPt ?? Math.max(5, item.sizePt * 0.6));
  const set = setText(text, face, { ...item, minPt, trackingEm });
  const blockMm = set.capHeightMm + (set.lines.length - 1) * set.leadingMm;
  const spare = item.heightMm - blockMm;
  const topMm = item.yMm + spare * { top: 0, middle: 0.5, bottom: 1 }[item.valign];
  const share = { left: 0, centre: 0.5, right: 1 }[item.align];
  const shapes = set.lines.map((line, index): Shape => {
    const width = textWidthMm(line, face, set.sizePt, trackingEm);
    return {
      kind: 'text',
      text: line,
      font: item.font,
      sizePt: set.sizePt,
      trackingEm,
      xMm: item.xMm + (item.widthMm - width) * share,
      baselineMm: topMm + set.capHeightMm + index * set.leadingMm,
      colour: item.colour,
    };
  });
  const kinds = [
    set.cut ? 'text-cut' : set.sizePt < item.sizePt ? 'text-reduced' : undefined,
    [...text].every((character) => character === '\n' || face.glyph(character).known)
      ? undefined
      : 'missing-glyph',
  ] as const;
  return {
    shapes,
    notes: kinds.flatMap((kind) => (kind ? [{ kind, text, sizePt: set.sizePt }] : [])),
  };
}

function drawBox(item: Item & { kind: 'box' }): Shape[] {
  const { xMm, yMm, widthMm, heightMm, strokeMm } = item;
  const bar = (x: number, y: number, width: number, height: number): Shape => ({
    kind: 'bar',
    xMm: x,
    yMm: y,
    widthMm: width,
    heightMm: height,
  });
  if (item.filled) return [bar(xMm, yMm, widthMm, heightMm)];
  return [
    bar(xMm, yMm, widthMm, strokeMm),
    bar(xMm, yMm + heightMm - strokeMm, widthMm, strokeMm),
    bar(xMm, yMm, strokeMm, heightMm),
    bar(xMm + widthMm - strokeMm, yMm, strokeMm, heightMm),
  ];
}

function drawQr(item: QrItem, text: string): SymbolShape {
  const symbol = makeQr(text, item.level);
  return {
    kind: 'symbol',
    symbol,
    xMm: item.xMm,
    yMm: item.yMm,
    widthMm: item.sizeMm,
    heightMm: item.sizeMm,
    moduleMm: item.sizeMm / (symbol.columns + 2 * symbol.quietModules),
    align: 'centre',
  };
}

function drawLinear(item: LinearItem, text: string): SymbolShape {
  const symbol = makeLinear(item.kind, text);
  const widest = item.widthMm / (symbol.columns + 2 * symbol.quietModules);
  return {
    kind: 'symbol',
    symbol,
    xMm: item.xMm,
    yMm: item.yMm,
    widthMm: item.widthMm,
    heightMm: item.heightMm,
    moduleMm: Math.min(widest, item.maxModuleMm),
    align: item.align,
  };
}

function vocabularyOf(template: Template, wanted = template.language): Vocabulary {
  const own = template.words[template.language] ?? {};
  const exact = template.words[wanted] ? wanted : wanted.split('-')[0];
  const language = exact !== undefined && template.words[exact] ? exact : template.language;
  return { language, words: { ...own, ...template.words[language] } };
}

function holds(condition: Condition | undefined, fields: Fields): boolean {
  if (!condition) return true;
  if (condition.has !== undefined && isBlank(fields[condition.has])) return false;
  if (condition.lacks !== undefined && !isBlank(fields[condition.lacks])) return false;
  if (condition.field === undefined) return true;
  const value = fields[condition.field];
  return (condition.is ?? []).some((wanted) => wanted === value);
}

const isBlank = (value: string | number | undefined): boolean =>
  value === undefined || value === '';
