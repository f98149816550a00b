import { makeCaskCode } from '@rundlet/identifiers';
import { expect, test } from 'vitest';
import { distinctTexts } from './distinct-texts.ts';

const [one, other] = [makeCaskCode(173), makeCaskCode(4711)];

test('the two codes of one label are one', () => {
  expect(distinctTexts([`HTTPS://CASKS.HARROWPOINT.EXAMPLE/C/${one}`, one])).toEqual([
    { text: `HTTPS://CASKS.HARROWPOINT.EXAMPLE/C/${one}`, shown: one },
  ]);
});

test('two labels are two, and a cooper’s number beside them is left out', () => {
  expect(distinctTexts([one, 'B-2219', other]).map(({ shown }) => shown)).toEqual([one, other]);
});

test('where nothing is ours, everything is offered', () => {
  expect(distinctTexts(['B-2219', 'HP 84', 'B-2219']).map(({ text }) => text)).toEqual([
    'B-2219',
    'HP 84',
  ]);
});
