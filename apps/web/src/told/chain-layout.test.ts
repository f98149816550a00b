import fc from 'fast-check';
import { expect, test } from 'vitest';
import { chainLayout, WIDTH } from './chain-layout.ts';

const split = (weights: readonly number[]) => {
  const sum = weights.reduce((a, b) => a + b, 0);
  return weights.map((weight, i) => ({ name: `part ${String(i)}`, share: weight / sum }));
};
const weights = fc.array(fc.integer({ min: 1, max: 1000 }), { minLength: 1, maxLength: 30 });

test('every width is a share, and the bands that leave or reach a strip fill it exactly', () => {
  fc.assert(
    fc.property(weights, weights, (above, below) => {
      const [plots, kinds] = [split(above), split(below)];
      const flows = plots.flatMap((plot, i) =>
        kinds.map((kind, j): [number, number, number] => [i, j, plot.share * kind.share]),
      );
      const { steps, bands } = chainLayout(
        { plots, 'cask-kinds': kinds, ways: [{ from: 'plots', to: 'cask-kinds', flows }] },
        ['harvests'],
      );
      expect(steps.map(({ fact, withheld }) => [fact, withheld])).toEqual([
        ['plots', false],
        ['harvests', true],
        ['cask-kinds', false],
        ['bottle', false],
      ]);
      for (const { strips, withheld } of steps)
        if (!withheld)
          expect(strips.reduce((sum, { width }) => sum + width, 0)).toBeCloseTo(WIDTH, 6);
      const [first, , third] = steps;
      for (const [ends, step] of [
        ['x0', first],
        ['x1', third],
      ] as const)
        for (const { x, width } of step?.strips ?? []) {
          const inside = bands
            .filter(({ y0 }) => y0 < (third?.top ?? 0))
            .filter((band) => band[ends] > x - 1e-6 && band[ends] + band.width < x + width + 1e-6);
          expect(inside.reduce((sum, band) => sum + band.width, 0)).toBeCloseTo(width, 5);
        }
    }),
    { numRuns: 50 },
  );
});
