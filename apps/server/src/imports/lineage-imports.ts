import type { Cells } from './cells.ts';
import { act, type ImportKindReader, type LookUps } from './import-kind.ts';

const noon = (date: string): string => `${date}T12:00:00.000Z`;

/** `HL-1:1200; HL-2:800` with each code looked up. */
async function inputs(
  cells: Cells,
  lookUps: LookUps,
  column: string,
  kind: 'harvest-lot' | 'ferment' | 'still-run',
  otherwise?: number,
): Promise<{ id: string; amount: number }[]> {
  const found: { id: string; amount: number }[] = [];
  for (const { code, amount } of cells.amounts(column, otherwise))
    found.push({ id: await lookUps.idByCode(cells, column, kind, code), amount });
  return found;
}

export const plots: ImportKindReader = {
  required: ['code', 'name', 'areaHa', 'crop', 'variety'],
  optional: ['soil', 'plantedYear'],
  columnOf: {},
  acts: async (cells, lookUps) => [
    act('plot.record', lookUps.now, {
      id: lookUps.newId(),
      code: cells.text('code'),
      name: cells.text('name'),
      areaHa: cells.number('areaHa'),
      soil: cells.optionalText('soil'),
      crop: cells.text('crop'),
      variety: cells.text('variety'),
      plantedYear: cells.optionalNumber('plantedYear'),
    }),
  ],
};

export const harvestLots: ImportKindReader = {
  required: ['code', 'plot', 'harvestedOn', 'massKg', 'sugarPercentMass'],
  optional: [],
  columnOf: { plotId: 'plot', happenedAt: 'harvestedOn' },
  acts: async (cells, lookUps) => {
    const harvestedOn = cells.date('harvestedOn');
    return [
      act('harvest.record', noon(harvestedOn), {
        id: lookUps.newId(),
        code: cells.text('code'),
        plotId: await lookUps.idByCode(cells, 'plot', 'plot', cells.text('plot')),
        harvestedOn,
        massKg: cells.number('massKg'),
        sugarPercentMass: cells.number('sugarPercentMass'),
      }),
    ];
  },
};

export const ferments: ImportKindReader = {
  required: [
    'code',
    'vessel',
    'yeast',
    'startedOn',
    'endedOn',
    'harvestLots',
    'bulkLitresAt20C',
    'strengthPercentVol',
  ],
  optional: [],
  columnOf: { inputs: 'harvestLots', happenedAt: 'endedOn' },
  acts: async (cells, lookUps) => {
    const endedOn = cells.date('endedOn');
    return [
      act('ferment.record', noon(endedOn), {
        id: lookUps.newId(),
        code: cells.text('code'),
        vessel: cells.text('vessel'),
        yeast: cells.text('yeast'),
        startedOn: cells.date('startedOn'),
        endedOn,
        inputs: (await inputs(cells, lookUps, 'harvestLots', 'harvest-lot')).map((input) => ({
          harvestLotId: input.id,
          massKg: input.amount,
        })),
        bulkLitresAt20C: cells.number('bulkLitresAt20C'),
        strengthPercentVol: cells.number('strengthPercentVol'),
      }),
    ];
  },
};

export const stillRuns: ImportKindReader = {
  required: [
    'code',
    'still',
    'ranOn',
    'ferments',
    'headsLitresAt20C',
    'heartsLitresAt20C',
    'heartsStrengthPercentVol',
    'tailsLitresAt20C',
  ],
  optional: [],
  columnOf: { inputs: 'ferments', happenedAt: 'ranOn' },
  acts: async (cells, lookUps) => {
    const ranOn = cells.date('ranOn');
    return [
      act('still-run.record', noon(ranOn), {
        id: lookUps.newId(),
        code: cells.text('code'),
        still: cells.text('still'),
        ranOn,
        inputs: (await inputs(cells, lookUps, 'ferments', 'ferment')).map((input) => ({
          fermentId: input.id,
          bulkLitresAt20C: input.amount,
        })),
        headsLitresAt20C: cells.number('headsLitresAt20C'),
        heartsLitresAt20C: cells.number('heartsLitresAt20C'),
        heartsStrengthPercentVol: cells.number('heartsStrengthPercentVol'),
        tailsLitresAt20C: cells.number('tailsLitresAt20C'),
      }),
    ];
  },
};

export const spiritLots: ImportKindReader = {
  required: ['code', 'name'],
  optional: ['stillRuns'],
  columnOf: { inputs: 'stillRuns' },
  acts: async (cells, lookUps) => [
    act('spirit-lot.record', lookUps.now, {
      id: lookUps.newId(),
      code: cells.text('code'),
      name: cells.text('name'),
      // Spirit bought in, or older than the records, comes from no run of ours.
      inputs: cells.has('stillRuns')
        ? (await inputs(cells, lookUps, 'stillRuns', 'still-run', 1)).map((input) => ({
            stillRunId: input.id,
            share: input.amount,
          }))
        : [],
    }),
  ],
};

export const positions: ImportKindReader = {
  required: ['zone', 'code', 'row', 'bay', 'level', 'slot', 'walkOrder'],
  optional: ['capacity'],
  columnOf: { zoneId: 'zone' },
  codesOf: { zone: 'zone', code: 'position' },
  acts: async (cells, lookUps) => [
    act('position.register', lookUps.now, {
      zoneId: await lookUps.idByCode(cells, 'zone', 'zone', cells.text('zone')),
      positions: [
        {
          id: lookUps.newId(),
          code: cells.text('code'),
          row: cells.text('row'),
          bay: cells.text('bay'),
          level: cells.text('level'),
          slot: cells.text('slot'),
          capacity: cells.optionalNumber('capacity') ?? 1,
          walkOrder: cells.number('walkOrder'),
        },
      ],
    }),
  ],
};
