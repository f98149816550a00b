import { describe, expect, test } from 'vitest';
import type { RecordKind } from '@rundlet/contracts';
import { day, TestEstate } from '../../../../tests/support/memory-estate.ts';
import { traceLineage, type LineageReader } from '../index.ts';
import { mostEthanolKg } from './yields.ts';

test('100 parts of glucose give at most 51.1 parts of ethanol (Gay-Lussac’s equation, 1815; molar masses of IUPAC)', () => {
  expect(mostEthanolKg(100)).toBeCloseTo(51.14, 2);
});

async function estateWithLineage() {
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
  return { e, plotA, plotB, ferment, lot, run };
}
const readerOf = (e: TestEstate): LineageReader => ({
  get: async (kind, ids) =>
    ids.flatMap((id) => e.records.peek(kind as RecordKind, id) ?? []) as never,
});

describe('from cask to plot', () => {
  test('a filling traces to its plots with shares by the sugar they brought', async () => {
    const { e, lot, plotA, plotB } = await estateWithLineage();
    await e.receive(e.vats[0], lot, 500, 70, day(4));
    await e.fill(e.casks[0] ?? '', e.vats[0], 200, 70, day(5));
    const graph = await traceLineage(
      'filling',
      e.fillingOf(e.casks[0] ?? '')?.id ?? '',
      readerOf(e),
    );
    const share = (key: string) => graph?.nodes.find((n) => n.key === key)?.share;
    expect(share(`plot:${plotA}`)).toBeCloseTo(0.6, 9);
    expect(share(`plot:${plotB}`)).toBeCloseTo(0.4, 9);
    expect(graph?.nodes.map((n) => n.kind).sort()).toEqual([
      'ferment',
      'filling',
      'harvest-lot',
      'harvest-lot',
      'plot',
      'plot',
      'spirit-lot',
      'still-run',
    ]);
    expect(await traceLineage('blend', e.newId(), readerOf(e))).toBeNull();
  });

  test('origin shares survive vatting, refilling and blending again', async () => {
    const { e, lot, plotA } = await estateWithLineage();
    await e.receive(e.vats[0], lot, 400, 70, day(4));
    await e.receive(e.vats[0], e.lots[0], 400, 70, day(4));
    await e.fill(e.casks[0] ?? '', e.vats[0], 200, 70, day(5));
    await e.receive(e.vats[1], e.lots[1], 200, 60, day(6));
    await e.do(
      'cask.disgorge',
      {
        caskId: e.casks[0] ?? '',
        vatId: e.vats[1],
        readings: null,
        bulkLitresAt20C: null,
        planId: null,
      },
      day(900),
    );
    await e.fill(e.casks[1] ?? '', e.vats[1], 190, 64.9, day(901));
    const graph = await traceLineage(
      'filling',
      e.fillingOf(e.casks[1] ?? '')?.id ?? '',
      readerOf(e),
    );
    // Half of 200 L at 70 among 200 L at 70 and 200 L at 60, and 0.6 of that half from plot A, all by ethanol.
    const expected = (0.5 * 140) / (140 + 120);
    expect(graph?.nodes.find((n) => n.key === `spirit-lot:${lot}`)?.share).toBeCloseTo(expected, 6);
    expect(graph?.nodes.find((n) => n.key === `plot:${plotA}`)?.share).toBeCloseTo(
      expected * 0.6,
      6,
    );
  });

  test('a run that holds more alcohol than its wash is refused', async () => {
    const { e, ferment } = await estateWithLineage();
    const work = e.do(
      'still-run.record',
      {
        id: e.newId(),
        code: 'R2',
        still: 'Pot 1',
        ranOn: '2020-11-02',
        inputs: [{ fermentId: ferment, bulkLitresAt20C: 1000 }],
        headsLitresAt20C: 1,
        heartsLitresAt20C: 100,
        heartsStrengthPercentVol: 70,
        tailsLitresAt20C: 1,
      },
      day(4),
    );
    await expect(work).rejects.toMatchObject({ code: 'impossible-yield' });
  });
});
