import { expect, test } from 'vitest';
import { portionsOf, waysOf, type Portion } from './ways.ts';

const through = (plots: string, harvests: string, run: string | null, casks: string) => ({
  plots,
  harvests,
  'still-runs': run,
  'cask-kinds': casks,
});
// Worked by hand: two plots, a harvest each, one still run of both and one of the second alone.
const PORTIONS: readonly Portion[] = [
  { share: 0.3, through: through('P1', 'H1', 'R1', 'barrel') },
  { share: 0.1, through: through('P2', 'H2', 'R1', 'barrel') },
  { share: 0.35, through: through('P2', 'H2', 'R2', 'hogshead') },
  { share: 0.15, through: through('P2', 'H2', 'R2', 'barrel') },
  { share: 0.1, through: through('P2', 'H2', null, 'barrel') },
];
const KEYS = {
  plots: ['P2', 'P1'],
  harvests: ['H2', 'H1'],
  'still-runs': ['R2', 'R1'],
  'cask-kinds': ['barrel', 'hogshead'],
};

test('ways lead from each told step to the next, largest first', () => {
  const ways = waysOf(PORTIONS, KEYS, ['plots', 'harvests', 'still-runs', 'cask-kinds', 'ways']);
  expect(ways).toEqual([
    {
      from: 'plots',
      to: 'harvests',
      flows: [
        [0, 0, 0.7],
        [1, 1, 0.3],
      ],
    },
    {
      from: 'harvests',
      to: 'still-runs',
      flows: [
        [0, 0, 0.5],
        [1, 1, 0.3],
        [0, 1, 0.1],
      ],
    },
    {
      from: 'still-runs',
      to: 'cask-kinds',
      flows: [
        [1, 0, 0.4],
        [0, 1, 0.35],
        [0, 0, 0.15],
      ],
    },
  ]);
});

test('a step that is withheld is passed over, and nothing of it is told', () => {
  const ways = waysOf(PORTIONS, KEYS, ['plots', 'cask-kinds', 'years', 'ways']);
  expect(ways).toEqual([
    {
      from: 'plots',
      to: 'cask-kinds',
      flows: [
        [0, 0, 0.35],
        [0, 1, 0.35],
        [1, 0, 0.3],
      ],
    },
  ]);
  expect(waysOf(PORTIONS, KEYS, ['years', 'ways'])).toEqual([]);
});

test('a lot’s ethanol is shared out among the casks that brought it, and the rest leads through none', () => {
  const cask = (caskKind: string, lotShares: Record<string, number>) => ({
    caskKind,
    woodSpecies: 'Quercus robur',
    previousContents: 'none',
    lotShares,
  });
  const portions = portionsOf(
    {
      lotShares: { L1: 0.7, L2: 0.2, L3: 0.1 },
      fillings: [
        { fillingId: 'F1', ethanolShare: 0.6 },
        { fillingId: 'F2', ethanolShare: 0.4 },
      ],
    },
    new Map([
      ['F1', cask('barrel', { L1: 1 })],
      ['F2', cask('hogshead', { L1: 0.5, L2: 0.5 })],
    ]),
    {
      lots: new Map(
        ['L1', 'L2', 'L3'].map((id) => [id, { inputs: [{ stillRunId: 'R', share: 1 }] }]),
      ),
      stillRuns: new Map([['R', { still: 'Pot 1', ranOn: '2020-04-28' }]]),
      harvestShares: new Map([['R', { H: 1 }]]),
      plotOfHarvest: new Map([['H', 'P']]),
    },
  );
  // By hand: of L1 the casks brought 0.6 and 0.4 × 0.5, three to one; of L3 nothing.
  expect(
    portions.map(({ share, through }) => [through['cask-kinds']?.split(',')[0], share]),
  ).toEqual([
    ['barrel', expect.closeTo(0.525, 12)],
    ['hogshead', expect.closeTo(0.175, 12)],
    ['hogshead', 0.2],
    [undefined, 0.1],
  ]);
  expect(portions[0]?.through).toMatchObject({
    plots: 'P',
    harvests: 'H',
    'still-runs': 'Pot 1, 2020-04-28',
  });
});
