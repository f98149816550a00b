import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { checkCode, isQrAlphanumeric } from '@rundlet/identifiers';
import {
  drawLabel,
  EXAMPLE_FIELDS,
  FIELDS,
  FONT_NAMES,
  parseTemplate,
  preflight,
  type Fields,
} from '@rundlet/labels';
import { describe, expect, test } from 'vitest';
import { loadFonts, loadTemplate, TEMPLATES, templateFiles } from './support.ts';

const fonts = loadFonts();

describe.each(templateFiles())('%s', (file) => {
  const template = loadTemplate(file);
  const languages = Object.keys(template.words);

  test.each([203, 300, 600])('has nothing to warn of at %d dpi', (dpi) => {
    const drawing = drawLabel(template, EXAMPLE_FIELDS, { fonts });
    const printerWidthMm = template.sheet ? 210 : 104; // a desktop laser; a four-inch thermal head
    expect(preflight(drawing, { dpi, printerWidthMm }).warnings).toEqual([]);
  });

  test('speaks English, French, German and Spanish, and fits in each', () => {
    expect(languages.sort()).toEqual(['de', 'en', 'es', 'fr']);
    for (const language of languages) {
      const drawing = drawLabel(template, EXAMPLE_FIELDS, { fonts, language });
      const { warnings } = preflight(drawing, { dpi: 203 });
      expect(warnings, language).toEqual([]);
    }
  });

  test('prints in advance with nothing but what it requires', () => {
    const spare: Fields = Object.fromEntries(
      template.requires.map((name) => [name, EXAMPLE_FIELDS[name]]),
    );
    const drawing = drawLabel(template, spare, { fonts });
    expect(preflight(drawing, { dpi: 203 }).warnings).toEqual([]);
    expect(drawing.shapes.some((shape) => shape.kind === 'symbol')).toBe(true);
    const first = template.requires[0] as string;
    expect(() => drawLabel(template, { ...spare, [first]: '' }, { fonts })).toThrow(first);
  });

  test('puts its address into a QR code of level Q or H', () => {
    const levels = template.items.flatMap((item) => (item.kind === 'qr' ? [item.level] : []));
    expect(levels.length).toBe(1);
    expect(['Q', 'H']).toContain(levels[0]);
  });
});

test('the example codes are real ones, the example addresses fit the alphanumeric mode', () => {
  for (const { name, kind, example } of FIELDS) {
    if (/^(cask|position|sample|vat)Code$/.test(name))
      expect(checkCode(String(example)), name).toMatchObject({ status: 'ok' });
    if (kind === 'address') expect(isQrAlphanumeric(String(example)), name).toBe(true);
  }
});

test('the page on writing templates names every field and every font', () => {
  const page = readFileSync(join(TEMPLATES, 'README.md'), 'utf8');
  for (const { name } of FIELDS) expect(page).toContain(`\`${name}\``);
  for (const font of FONT_NAMES) expect(page).toContain(`\`${font}\``);
  for (const file of templateFiles()) expect(page).toContain(file);
});

describe('a template that is wrong', () => {
  const good = JSON.parse(readFileSync(join(TEMPLATES, 'cask-roll-100x50.json'), 'utf8')) as {
    items: Record<string, unknown>[];
  };
  const problems = (change: object): string[] => {
    const result = parseTemplate({ ...good, ...change });
    return result.status === 'ok'
      ? []
      : result.problems.map(({ path, message }) => `${path} ${message}`);
  };
  const withItem = (item: object): string[] => problems({ items: [...good.items, item] });
  const text = { kind: 'text', xMm: 1, yMm: 1, widthMm: 10, heightMm: 3, sizePt: 8 };
  const place = `/items/${good.items.length}`;

  test.each([
    [
      'a misspelt field',
      { ...text, text: '{caskKode}' },
      `${place}/text "{caskKode}" is not a field`,
    ],
    ['an unknown word', { ...text, text: '{@nothing}' }, 'is not among the words'],
    ['a brace left open', { ...text, text: 'up to {caskCode' }, 'unbalanced brace'],
    ['an unknown format', { ...text, text: '{filledOn:time}' }, 'a format is date, grouped, upper'],
    ['an unknown key', { ...text, text: 'x', color: 'red' }, 'color'],
    ['an unknown kind', { kind: 'picture', xMm: 0, yMm: 0 }, `${place}/kind`],
    ['a misspelt condition', { ...text, text: 'x', when: { has: 'owner' } }, `${place}/when/has`],
    ['a length that is none', { ...text, text: 'x', widthMm: -3 }, `${place}/widthMm`],
  ])('%s is named with its place', (_, item, message) => {
    expect(withItem(item).join('\n')).toContain(message);
  });

  test('so are a sheet that does not fit and one of another size', () => {
    const a4 = loadTemplate('cask-sheet-a4-2x4.json').sheet as object;
    expect(problems({ sheet: { ...a4, columns: 3 } }).join()).toContain('/sheet');
    expect(problems({ sheet: a4 }).join()).toContain('99.1 × 67.7');
  });

  test('a field of the site’s own is welcome', () => {
    expect(withItem({ ...text, text: '{own.rackColour}' })).toEqual([]);
  });
});
