import { describe, expect, test } from 'vitest';
import { wedgeBurst, type Verdict } from './wedge-burst.ts';

/** Feeds keys at a pace and gives back the last verdict. */
function type(text: string, gapMs: number | ((i: number) => number), end = 'Enter'): Verdict {
  const judge = wedgeBurst();
  let atMs = 1000;
  let verdict: Verdict = { kind: 'nothing' };
  for (const [i, key] of [...text, end].entries()) {
    atMs += typeof gapMs === 'number' ? gapMs : gapMs(i);
    verdict = judge({ key, ctrl: false, atMs, repeat: false });
  }
  return verdict;
}

describe('a hand scanner', () => {
  test.each([2, 10, 30])('at %i ms a key is heard', (gap) => {
    expect(type('C00004H9', gap)).toEqual({ kind: 'scanned', text: 'C00004H9' });
  });
  test('may end with a tab', () => {
    expect(type('C00004H9', 10, 'Tab')).toEqual({ kind: 'scanned', text: 'C00004H9' });
  });
  test('is heard whole though the device was busy for some keys', () => {
    const gap = (i: number) => (i === 2 ? 300 : i === 4 ? 110 : 10);
    expect(type('C00004H9', gap)).toEqual({ kind: 'scanned', text: 'C00004H9' });
  });
  test('may send shift between letters, and the group separator as Ctrl+]', () => {
    const judge = wedgeBurst();
    const keys = ['Shift', '8', '0', '0', '4', '1', '2'];
    for (const [i, key] of keys.entries()) judge({ key, ctrl: false, atMs: i * 5, repeat: false });
    judge({ key: ']', ctrl: true, atMs: 40, repeat: false });
    expect(judge({ key: 'Enter', ctrl: false, atMs: 45, repeat: false })).toEqual({
      kind: 'scanned',
      text: '800412\u001d',
    });
  });
});

describe('fingers', () => {
  test.each([60, 90, 200])('at %i ms a key are left alone', (gap) => {
    expect(type('C00004H9', gap)).toEqual({ kind: 'nothing' });
  });
  test('a short quick word is left alone', () => {
    expect(type('yes', 10)).toEqual({ kind: 'nothing' });
  });
  test('a pause begins anew', () => {
    expect(type('C00004H9', (i) => (i === 4 ? 700 : 10))).toEqual({ kind: 'nothing' });
  });
  test('a key held down is no burst', () => {
    const judge = wedgeBurst();
    for (let i = 0; i < 9; i++) judge({ key: 'x', ctrl: false, atMs: i * 10, repeat: i > 0 });
    expect(judge({ key: 'Enter', ctrl: false, atMs: 95, repeat: false })).toEqual({
      kind: 'nothing',
    });
  });
});
