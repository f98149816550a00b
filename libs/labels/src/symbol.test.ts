import fc from 'fast-check';
import { expect, test } from 'vitest';
import { makeLinear, makeQr, outlineModules, type CodeSymbol, type Outline } from './symbol.ts';

// Modules by version and level: the capacity table of ISO/IEC 18004 (version 2 has 25 modules a side, 3 has 29, 4 has 33).
test.each([
  ['HTTPS://C.EXAMPLE/7K3M9QX', 'M', 25],
  ['HTTPS://ID.EXAMPLE.ORG/8004/9521321C000173', 'Q', 29],
  ['HTTPS://ID.EXAMPLE.ORG/8004/9521321C000173', 'H', 33],
  ['https://id.example.org/8004/9521321c000173', 'H', 37],
] as const)('%s at level %s is %d modules a side', (text, level, side) => {
  expect(makeQr(text, level)).toMatchObject({ columns: side, rows: side, quietModules: 4 });
});

// ISO/IEC 15417: 11 modules for start, each character and the check, 13 for stop; two digits share one in set C.
test.each([
  ['C', 11 * 3 + 13],
  ['PJJ123C', 11 * 9 + 13],
  ['12345678', 11 * 6 + 13],
])('Code 128 of %s has %d modules', (text, modules) => {
  expect(makeLinear('code128', text)).toMatchObject({
    columns: modules,
    rows: 1,
    quietModules: 10,
  });
});

// The worked example of Wikipedia's Code 128 article: PJJ123C in set A has check 54. Started in set B (104 instead of 103) it has 55,
// and the article's table gives 55 as 3 1 1 3 2 1, stop as 2 3 3 1 1 1 2.
test('Code 128 of PJJ123C carries check symbol 55 before its stop', () => {
  const { modules } = makeLinear('code128', 'PJJ123C');
  const runs: number[] = [];
  modules.forEach((dark, at) => {
    if (at === 0 || dark !== modules[at - 1]) runs.push(0);
    runs[runs.length - 1] = (runs.at(-1) as number) + 1;
  });
  expect(runs.slice(-13, -7)).toEqual([3, 1, 1, 3, 2, 1]);
  expect(runs.slice(-7)).toEqual([2, 3, 3, 1, 1, 1, 2]);
});

test('what a symbology cannot hold is refused', () => {
  expect(() => makeLinear('gs1-128', '(8003)04012345000222')).toThrow(RangeError);
  expect(() => makeLinear('code128', 'Länge €')).toThrow(RangeError);
  expect(() => makeQr('x'.repeat(3000), 'H')).toThrow(RangeError);
});

test('outlines enclose exactly the dark modules', () => {
  const grid = fc.array(fc.boolean(), { minLength: 36, maxLength: 36 });
  fc.assert(
    fc.property(grid, (dark) => {
      const symbol: CodeSymbol = {
        ...makeQr('x', 'L'),
        columns: 6,
        rows: 6,
        modules: Uint8Array.from(dark, Number),
      };
      const outlines = outlineModules(symbol);
      for (let at = 0; at < 36; at++)
        expect(inside(outlines, (at % 6) + 0.5, Math.floor(at / 6) + 0.5)).toBe(dark[at]);
      for (const [x, y, nextX, nextY] of outlines.flatMap(edges))
        expect(x === nextX || y === nextY).toBe(true);
    }),
  );
});

function edges(corners: Outline): [x: number, y: number, nextX: number, nextY: number][] {
  const all = [...corners, ...corners.slice(0, 2)];
  return Array.from(
    { length: corners.length / 2 },
    (_, at) => all.slice(2 * at, 2 * at + 4) as never,
  );
}

/** Even-odd rule along a ray to the right. */
function inside(outlines: readonly Outline[], x: number, y: number): boolean {
  const crossed = outlines
    .flatMap(edges)
    .filter(([ax, ay, bx, by]) => ax === bx && ax > x && ay > y !== by > y);
  return crossed.length % 2 === 1;
}
