import { expect, test } from 'vitest';
import { mergeCodes, scaleCode, type FoundCode } from './code.ts';

const code = (text: string, more: Partial<FoundCode> = {}): FoundCode => ({
  text,
  format: 'qr',
  corners: [{ x: 1, y: 2 }],
  engine: 'first',
  ...more,
});

test('the same text in the same symbology is one code, and keeps what either engine knew', () => {
  const merged = mergeCodes([
    code('A'),
    code('A', { engine: 'second', symbologyIdentifier: ']Q3' }),
    code('A', { format: 'code128' }),
    code('B'),
  ]);
  expect(merged.map(({ text, format }) => `${format} ${text}`)).toEqual([
    'qr A',
    'code128 A',
    'qr B',
  ]);
  expect(merged[0]).toMatchObject({ engine: 'first', symbologyIdentifier: ']Q3' });
});

test('corners grow with the picture', () => {
  expect(scaleCode(code('A'), 3).corners).toEqual([{ x: 3, y: 6 }]);
});
