import type { AisleSnapshot } from '@rundlet/contracts';
import { caskUrl, makeCaskCode, makePositionCode } from '@rundlet/identifiers';
import { expect, test } from 'vitest';
import { findInAisle, indexAisle, nearestInAisle, spareInAisle } from './aisle-index.ts';

const [one, other, older, spare] = [173, 4711, 90_001, 90_002].map(makeCaskCode) as [
  string,
  string,
  string,
  string,
];
const GIAI = `9521321${other}`;
const place = makePositionCode(12);
const cask = (id: string, code: string, giai: string | null, aliases: string[]) =>
  ({ id, code, giai, aliases, kind: 'hogshead' }) as unknown as AisleSnapshot['casks'][number];
const index = indexAisle({
  zones: [],
  positions: [{ id: 'place', code: place }],
  casks: [cask('one', one, null, ['B-2219', older]), cask('other', other, GIAI, ['Owner 84'])],
  companyPrefix: '9521321',
  spareCodes: [spare],
} as unknown as AisleSnapshot);
const found = (text: string): string | null => {
  const match = findInAisle(index, text);
  return match && (match.kind === 'cask' ? match.cask.id : match.position.id);
};
const origin = 'https://casks.harrowpoint.example';

test.each([
  one,
  one.toLowerCase(),
  `${one.slice(0, 4)}-${one.slice(4)}`,
  `]C0${one}\r\n`,
  caskUrl({ origin, code: one }),
  caskUrl({ origin, code: one }).toLowerCase(),
  `${older}\t`,
  caskUrl({ origin, code: older }),
  'B-2219',
  'b-2219',
])('without a network %j leads to its cask', (text) => {
  expect(found(text)).toBe('one');
});

test.each([
  GIAI,
  `(8004)${GIAI}`,
  `]C18004${GIAI}`,
  `HTTPS://CASKS.HARROWPOINT.EXAMPLE/8004/${GIAI}`,
  'OWNER 84',
])('so does a key of GS1, or an owner’s number: %j', (text) => {
  expect(found(text)).toBe('other');
});

test('a position is a position, a stranger nothing', () => {
  expect(found(place)).toBe('place');
  expect(found(makeCaskCode(5))).toBeNull();
});

test('a spare label is known as one', () => {
  expect(spareInAisle(index, caskUrl({ origin, code: spare }))).toBe(spare);
  expect(spareInAisle(index, caskUrl({ origin, giai: `9521321${spare}` }))).toBe(spare);
  expect(found(caskUrl({ origin, giai: `9521321${older}` }))).toBe('one');
  expect(spareInAisle(index, one)).toBeNull();
});

test('a wrong check character is answered with the nearest casks', () => {
  const slipped = one.slice(0, -1) + (one.endsWith('A') ? 'B' : 'A');
  expect(found(slipped)).toBeNull();
  expect(nearestInAisle(index, slipped).map(({ id }) => id)).toContain('one');
});
