import { day, TestEstate } from './memory-estate.ts';

/** Two plots, a harvest of each, one ferment of both, one run of it and one spirit lot: 6 t and 4 t of fruit at 10 % sugar. */
export async function estateWithLineage() {
  const e = await new TestEstate().build();
  const [plotA, plotB, harvestA, harvestB, ferment, run, lot] = Array.from({ length: 7 }, () =>
    e.newId(),
  ) as [string, string, string, string, string, string, string];
  for (const [id, code] of [
    [plotA, 'PA'],
    [plotB, 'PB'],
  ] as const)
    await e.do(
      'plot.record',
      {
        id,
        code,
        name: `Plot ${code}`,
        areaHa: 2,
        soil: null,
        crop: 'pears',
        variety: 'Thorn',
        plantedYear: 1990,
      },
      day(0),
    );
  await e.do(
    'harvest.record',
    {
      id: harvestA,
      code: 'HA',
      plotId: plotA,
      harvestedOn: '2020-09-20',
      massKg: 6000,
      sugarPercentMass: 10,
    },
    day(1),
  );
  await e.do(
    'harvest.record',
    {
      id: harvestB,
      code: 'HB',
      plotId: plotB,
      harvestedOn: '2020-09-21',
      massKg: 4000,
      sugarPercentMass: 10,
    },
    day(1),
  );
  await e.do(
    'ferment.record',
    {
      id: ferment,
      code: 'F1',
      vessel: 'Vat 3',
      yeast: 'wild',
      startedOn: '2020-09-22',
      endedOn: '2020-10-20',
      inputs: [
        { harvestLotId: harvestA, massKg: 6000 },
        { harvestLotId: harvestB, massKg: 4000 },
      ],
      bulkLitresAt20C: 8000,
      strengthPercentVol: 6,
    },
    day(2),
  );
  await e.do(
    'still-run.record',
    {
      id: run,
      code: 'R1',
      still: 'Pot 1',
      ranOn: '2020-11-01',
      inputs: [{ fermentId: ferment, bulkLitresAt20C: 8000 }],
      headsLitresAt20C: 10,
      heartsLitresAt20C: 600,
      heartsStrengthPercentVol: 70,
      tailsLitresAt20C: 50,
    },
    day(3),
  );
  await e.do(
    'spirit-lot.record',
    { id: lot, code: 'LOT1', name: 'Pear 2020', inputs: [{ stillRunId: run, share: 1 }] },
    day(3),
  );
  return { e, plotA, plotB, harvestA, harvestB, ferment, lot, run };
}
