import { expect, test } from 'vitest';
import { parseTemplateText } from './template-text.ts';

const lines = (...items: string[]): string =>
  [
    '{',
    '  "format": "rundlet-label/1",',
    '  "name": "Trial",',
    '  "subject": "cask",',
    '  "widthMm": 80,',
    '  "heightMm": 40,',
    '  "items": [',
    items.join(',\n'),
    '  ]',
    '}',
  ].join('\n');
const qr = '    { "kind": "qr", "xMm": 2, "yMm": 2, "sizeMm": 30, "text": "{caskUrl}" }';
const problemsOf = (text: string) => {
  const result = parseTemplateText(text);
  return result.status === 'ok' ? [] : result.problems;
};

test('a sound template is parsed, and its items are found again in the text', () => {
  const result = parseTemplateText(lines(qr, qr.replace('"xMm": 2', '"xMm": 40')));
  if (result.status !== 'ok') throw new Error(JSON.stringify(result.problems));
  expect(result.template.items).toHaveLength(2);
  expect(result.json['name']).toBe('Trial');
  expect([0, 1].map((item) => result.placeOfItem(item))).toEqual([
    { line: 8, column: 5 },
    { line: 9, column: 5 },
  ]);
});

test('a problem is named at the line of the value that is wrong', () => {
  expect(problemsOf(lines(qr, qr.replace('caskUrl', 'caskUrk')))).toMatchObject([
    { path: '/items/1/text', line: 9 },
  ]);
  expect(problemsOf(lines(qr).replace('80', '"80"'))).toMatchObject([
    { path: '/widthMm', line: 5, column: 14 },
  ]);
});

test('what is missing is named where it should stand', () => {
  expect(problemsOf(lines(qr.replace(', "sizeMm": 30', '')))).toMatchObject([
    { path: '/items/0/sizeMm', line: 8 },
  ]);
});

test.each([
  ['a comma left out', lines(qr).replace('"cask",', '"cask"'), 5, 'comma expected'],
  ['an end left out', lines(qr).slice(0, -1), 10, 'close brace expected'],
  ['a comment', lines(qr).replace('  "name"', '  // a label\n  "name"'), 3, 'comment'],
])('%s is no JSON, said at its line', (_, text, line, words) => {
  const [problem] = problemsOf(text);
  expect(problem?.line).toBe(line);
  expect(problem?.message).toContain(words);
});

test('nothing at all is said to be nothing', () => {
  expect(problemsOf('')).toMatchObject([{ line: 1, column: 1 }]);
});
