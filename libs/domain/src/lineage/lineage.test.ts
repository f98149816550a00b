import { describe, expect, test } from 'vitest';
import type { RecordKind } from '@rundlet/contracts';
import { estateWithLineage } from '../../../../tests/support/memory-chain.ts';
import type { TestEstate } from '../../../../tests/support/memory-estate.ts';
import { day } from '../../../../tests/support/memory-estate.ts';
import { followLineage, spreadOf, traceLineage, type LineageReader } from '../index.ts';
import { mostEthanolKg } from './yields.ts';

test('100 parts of glucose give at most 51.1 parts of ethanol (Gay-Lussac’s equation, 1815; molar masses of IUPAC)', () => {
  expect(mostEthanolKg(100)).toBeCloseTo(51.14, 2);
});

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

  test('what a harvest or a ferment has been used up for can’t be used again', async () => {
    const { e, ferment, harvestB } = await estateWithLineage();
    const run = e.do(
      'still-run.record',
      {
        id: e.newId(),
        code: 'R2',
        still: 'Pot 1',
        ranOn: '2020-11-02',
        inputs: [{ fermentId: ferment, bulkLitresAt20C: 1000 }],
        headsLitresAt20C: 1,
        heartsLitresAt20C: 10,
        heartsStrengthPercentVol: 70,
        tailsLitresAt20C: 1,
      },
      day(4),
    );
    await expect(run).rejects.toMatchObject({
      code: 'impossible-yield',
      pointer: '/body/inputs/0/bulkLitresAt20C',
      details: { fermentLitres: 8000, usedLitres: 8000 },
    });
    const again = e.do(
      'ferment.record',
      {
        id: e.newId(),
        code: 'F2',
        vessel: 'Vat 4',
        yeast: 'wild',
        startedOn: '2020-09-22',
        endedOn: '2020-10-20',
        inputs: [{ harvestLotId: harvestB, massKg: 500 }],
        bulkLitresAt20C: 400,
        strengthPercentVol: 5,
      },
      day(4),
    );
    await expect(again).rejects.toMatchObject({
      code: 'impossible-yield',
      pointer: '/body/inputs/0/massKg',
    });
  });

  test('a step that a later one was made of is not taken back before that one', async () => {
    const { e } = await estateWithLineage();
    const entryOf = (kind: string) =>
      e.journal.entries.filter((entry) => entry.kind === kind).at(-1)?.id ?? '';
    const reverse = (kind: string) =>
      e.do('entry.reverse', { entryId: entryOf(kind), reason: 'wrong figures' }, day(5));
    for (const kind of ['plot.record', 'harvest.record', 'ferment.record', 'still-run.record'])
      await expect(reverse(kind)).rejects.toMatchObject({ code: 'later-entries-depend' });
    await reverse('spirit-lot.record');
    await reverse('still-run.record');
    expect(e.records.all('still-run')).toEqual([]);
  });

  test('a blend is traced through its casks, and a cask followed forth to the blend and its bottles', async () => {
    const { e, lot, plotA } = await estateWithLineage();
    const other = e.lots[0];
    await e.receive(e.vats[0], lot, 300, 70, day(4));
    await e.receive(e.vats[1], other, 300, 70, day(4));
    const [first = '', second = ''] = e.casks;
    await e.fill(first, e.vats[0], 200, 70, day(5));
    await e.fill(second, e.vats[1], 200, 70, day(5));
    const fillings = [first, second].map((cask) => e.fillingOf(cask));
    // Three quarters from the first cask, a quarter from the second, and a tenth of the whole lay in the vat before.
    const blend = {
      id: e.newId(),
      code: 'B1',
      name: 'Two casks',
      planId: null,
      vatId: e.vats[2],
      madeAt: day(900),
      figures: { bulkLitresAt20C: 100, strengthPercentVol: 60, litresPureAlcohol: 60 },
      lotShares: { [lot]: 0.675, [other]: 0.225, [e.lots[1]]: 0.1 },
      plotShares: {},
      fillings: fillings.map((f, i) => ({
        fillingId: f?.id ?? '',
        caskId: f?.caskId ?? '',
        caskCode: f?.caskCode ?? '',
        ethanolShare: i === 0 ? 0.75 : 0.25,
      })),
      lastEntryId: e.newId(),
    };
    e.records.put('blend', blend);
    const graph = await traceLineage('blend', blend.id, readerOf(e));
    const share = (key: string) => graph?.nodes.find((n) => n.key === key)?.share;
    expect(share(`filling:${fillings[0]?.id ?? ''}`)).toBeCloseTo(0.675, 9);
    expect(share(`filling:${fillings[1]?.id ?? ''}`)).toBeCloseTo(0.225, 9);
    expect(share(`plot:${plotA}`)).toBeCloseTo(0.675 * 0.6, 9);
    const arrow = graph?.arrows.find((a) => a.from === `spirit-lot:${e.lots[1]}`);
    expect(arrow).toMatchObject({ to: `blend:${blend.id}` });
    expect(arrow?.share).toBeCloseTo(0.1, 9);

    const holding = (kind: RecordKind, ids: readonly string[]) =>
      e.records.all(kind).filter((r) => ids.some((id) => JSON.stringify(r).includes(`"${id}"`)));
    const forth = await followLineage('filling', fillings[0]?.id ?? '', {
      ...readerOf(e),
      naming: async (kind, _, ids) => holding(kind, ids) as never,
      fillingsWith: async () => [],
    });
    expect(forth?.nodes.find((n) => n.kind === 'blend')?.share).toBeCloseTo(0.675, 9);
    const fromPlot = await followLineage('plot', plotA, {
      ...readerOf(e),
      naming: async (kind, _, ids) => holding(kind, ids) as never,
      fillingsWith: async () => [],
    });
    // The plot gave 0.6 of the lot, the lot 0.675 of the blend.
    expect(fromPlot?.nodes.find((n) => n.kind === 'blend')?.share).toBeCloseTo(0.405, 9);
    expect(fromPlot?.nodes.find((n) => n.kind === 'filling')?.share).toBeCloseTo(0.6, 9);
  });

  test('the liquid of a cask is followed through a vat into other casks, and out of the door', async () => {
    const { e } = await estateWithLineage();
    const [first = '', second = '', third = ''] = e.casks;
    await e.receive(e.vats[0], e.lots[0], 1000, 60, day(4));
    await e.fill(first, e.vats[0], 200, 60, day(5));
    await e.fill(second, e.vats[0], 200, 60, day(5));
    const filling = e.fillingOf(first)?.id ?? '';
    // 200 L of the cask among 800 L of one strength: a quarter.
    await e.receive(e.vats[1], e.lots[1], 600, 60, day(6));
    const disgorge = {
      caskId: first,
      vatId: e.vats[1],
      readings: null,
      bulkLitresAt20C: null,
      planId: null,
    };
    await e.do('cask.disgorge', disgorge, day(900));
    await e.fill(third, e.vats[1], 200, 60, day(901));
    const deliver = { vatId: e.vats[1], bulkLitresAt20C: 100, to: 'a customer' };
    await e.do('vat.deliver', { ...deliver, kind: 'delivered' }, day(902));
    // New spirit in the vat thins what is left of the cask; a gauge does not.
    await e.receive(e.vats[1], e.lots[1], 500, 60, day(903));
    await e.do(
      'vat.gauge',
      {
        vatId: e.vats[1],
        readings: { method: 'declared', bulkLitresAt20C: 990, strengthPercentVol: 60 },
        cause: 'vat-difference',
      },
      day(904),
    );
    const spread = await spreadOf(filling, {
      entriesOf: async (subject, from) =>
        Promise.all(
          e.journal.entries
            .filter((entry) => entry.seq >= from && entry.subjects.includes(subject))
            .map(async (entry) => ({
              ...entry,
              effects: (await e.journal.effectsOf(entry.id)) ?? [],
            })),
        ),
      vat: async (id) => e.records.peek('vat', id),
      filling: async (id) => e.records.peek('filling', id),
    });
    const shareIn = (key: string) => {
      const held = spread.held.get(key);
      return held && held.mg / held.wholeMg;
    };
    expect([...spread.held.keys()].sort()).toEqual(
      [`vat:${e.vats[1]}`, `filling:${e.fillingOf(third)?.id ?? ''}`].sort(),
    );
    expect(shareIn(`filling:${e.fillingOf(third)?.id ?? ''}`)).toBeCloseTo(0.25, 4);
    expect(shareIn(`vat:${e.vats[1]}`)).toBeCloseTo((0.25 * 500) / 1000, 4);
    expect(spread.left).toHaveLength(1);
    expect(spread.left[0]?.share).toBeCloseTo(0.25, 4);
  });

  test('a run that holds more alcohol than its wash is refused', async () => {
    const { e, plotA } = await estateWithLineage();
    const [harvest, fresh] = [e.newId(), e.newId()];
    await e.do(
      'harvest.record',
      {
        id: harvest,
        code: 'HC',
        plotId: plotA,
        harvestedOn: '2020-09-22',
        massKg: 1200,
        sugarPercentMass: 10,
      },
      day(2),
    );
    await e.do(
      'ferment.record',
      {
        id: fresh,
        code: 'F3',
        vessel: 'Vat 5',
        yeast: 'wild',
        startedOn: '2020-09-23',
        endedOn: '2020-10-20',
        inputs: [{ harvestLotId: harvest, massKg: 1200 }],
        bulkLitresAt20C: 1000,
        strengthPercentVol: 6,
      },
      day(3),
    );
    const work = e.do(
      'still-run.record',
      {
        id: e.newId(),
        code: 'R2',
        still: 'Pot 1',
        ranOn: '2020-11-02',
        inputs: [{ fermentId: fresh, bulkLitresAt20C: 1000 }],
        headsLitresAt20C: 1,
        heartsLitresAt20C: 100,
        heartsStrengthPercentVol: 70,
        tailsLitresAt20C: 1,
      },
      day(4),
    );
    await expect(work).rejects.toMatchObject({
      code: 'impossible-yield',
      pointer: '/body/heartsStrengthPercentVol',
    });
  });
});
