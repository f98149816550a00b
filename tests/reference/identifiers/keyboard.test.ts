import { readFileSync } from 'node:fs';
import { caskUrl, makeCaskCode, makeGiai, parseScan, undoKeyboard } from '@rundlet/identifiers';
import { describe, expect, test } from 'vitest';

// xkeyboard-config 2.35.1 (freedesktop.org) is the judge of what each computer makes of each key.
interface Layout {
  plain: string;
  shifted: string;
}
const { layouts } = JSON.parse(
  readFileSync(new URL('keyboard-layouts.json', import.meta.url), 'utf8'),
) as { layouts: Record<string, Layout> };
// The key right of left Shift (index 37) is not on the ANSI boards that US scanners imitate.
const us = {
  plain: without(37, layouts['US']?.plain),
  shifted: without(37, layouts['US']?.shifted),
};
function without(key: number, plane = ''): string {
  return `${plane.slice(0, key)}\0${plane.slice(key + 1)}`;
}
const isLetter = (character: string): boolean =>
  character.toLowerCase() !== character.toUpperCase();

/** What a computer with layout `host` shows when a scanner set to `scanner` types `text`. */
function typed(text: string, scanner: Layout, host: Layout, capsLock = false): string {
  return [...text]
    .map((character) => {
      const plainKey = scanner.plain.indexOf(character);
      const key = plainKey >= 0 ? plainKey : scanner.shifted.indexOf(character);
      if (key < 0) return character;
      const shown = (plainKey >= 0 ? host.plain : host.shifted).charAt(key);
      if (!capsLock || !isLetter(shown)) return shown;
      return shown === shown.toLowerCase() ? shown.toUpperCase() : shown.toLowerCase();
    })
    .join('');
}

const origin = 'https://casks.harrowpoint.example';
const options = { origins: [origin], companyPrefixes: ['9521321'] };
// Serials whose codes hold the letters that move: A, Q, W, Z, Y, M.
const codes = Array.from({ length: 60 }, (_, n) => makeCaskCode(n * 15_085_863));

// Published report: an AZERTY computer shows `004HQ3NIDBVD` as `àà'HA"NIDBVD` (bhima issue 6436).
test('the published AZERTY garbling is undone', () => {
  expect(undoKeyboard('àà\'HA"NIDBVD').map(({ text }) => text)).toContain('004HQ3NIDBVD');
});

const hosts = Object.entries(layouts).filter(([name]) => name !== 'US');
describe.each(hosts)('%s', (_, layout) => {
  test.each([
    ['US scanner', us, layout, false],
    ['US scanner, CAPS LOCK', us, layout, true],
    ['scanner of that country on a US computer', layout, us, false],
  ] as const)('%s', (__, scanner, host, caps) => {
    for (const code of codes) {
      const giai = makeGiai('9521321', code);
      const texts = [code, caskUrl({ origin, code }), caskUrl({ origin, giai }), `8004${giai}`];
      for (const text of texts) {
        const shown = typed(text, scanner, host, caps);
        const found = parseScan(`${shown}\r`, options).candidates;
        expect(
          found.some((candidate) => candidate.code === code),
          `${text} shown as ${shown}`,
        ).toBe(true);
      }
    }
  });
});

test('CAPS LOCK that shifts the digit row too, as on French Windows, is undone', () => {
  const french = layouts['AZERTY (French)'] as Layout;
  for (const code of codes) {
    const shown = typed(code, { plain: us.shifted, shifted: us.plain }, french);
    expect(parseScan(shown).candidates).toContainEqual(expect.objectContaining({ code }));
  }
});
