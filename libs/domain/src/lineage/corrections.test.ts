import { describe, expect, test } from 'vitest';
import type { BodyOf } from '@rundlet/contracts';
import { estateWithLineage } from '../../../../tests/support/memory-chain.ts';
import { day, verifyInMemory, type TestEstate } from '../../../../tests/support/memory-estate.ts';
import { describeEntry } from '../index.ts';

type Correction = BodyOf<'step.correct'>;
const correct = (e: TestEstate, body: Omit<Correction, 'reason'>, at = day(20)) =>
  e.do('step.correct', { ...body, reason: 'misread ticket' } as Correction, at);
const reverse = (e: TestEstate, entryId: string) =>
  e.do('entry.reverse', { entryId, reason: 'was right' }, day(30));
const holds = async (e: TestEstate) => {
  const report = await verifyInMemory(e.journal.entries, e.records);
  expect(report.failures).toEqual([]);
};

describe('a correction', () => {
  test('shows the new figures, keeps the old ones in the journal, and reaches the lots’ shares', async () => {
    const { e, harvestA, plotA, plotB, lot } = await estateWithLineage();
    // 6 t at 12 % and 4 t at 10 %: the sugar of plot A is 0.72 of 1.12 t.
    const { entry } = await correct(e, {
      kind: 'harvest-lot',
      id: harvestA,
      to: { sugarPercentMass: 12 },
    });
    const harvest = e.records.peek('harvest-lot', harvestA);
    expect(harvest).toMatchObject({ massKg: 6000, sugarPercentMass: 12 });
    expect(harvest?.corrected).toEqual({ sugarPercentMass: day(20) });
    const shares = e.records.peek('spirit-lot', lot)?.plotShares ?? {};
    expect(shares[plotA]).toBeCloseTo(0.72 / 1.12, 12);
    expect(shares[plotB]).toBeCloseTo(0.4 / 1.12, 12);
    expect(describeEntry(entry, (kind) => kind)).toBe(
      'Correction of harvest lot HA: sugar 12 % of the weight instead of 10 % of the weight. Reason: misread ticket',
    );
    expect(e.journal.entries.find((x) => x.body['id'] === harvestA)?.body['sugarPercentMass']).toBe(
      10,
    );
    await holds(e);

    await reverse(e, entry.id);
    expect(e.records.peek('harvest-lot', harvestA)).toMatchObject({
      sugarPercentMass: 10,
      corrected: {},
    });
    expect(e.records.peek('spirit-lot', lot)?.plotShares[plotA]).toBeCloseTo(0.6, 12);
    await holds(e);
  });

  test('is refused with what stands in the way, at every step', async () => {
    const { e, harvestA, ferment, run, lot } = await estateWithLineage();
    await e.receive(e.vats[0], lot, 590, 70, day(4));
    // Ferment F1 took all 6 t; its 8000 L at 6 % hold 379 kg of ethanol, and 1 t of sugar gives at most 511 kg.
    await expect(
      correct(e, { kind: 'harvest-lot', id: harvestA, to: { massKg: 5000 } }),
    ).rejects.toMatchObject({
      code: 'impossible-yield',
      details: { kind: 'ferment', id: ferment },
      pointer: '/body/to',
    });
    await expect(
      correct(e, { kind: 'harvest-lot', id: harvestA, to: { sugarPercentMass: 4 } }),
    ).rejects.toThrow(/ferment F1, which was made of it, stands in the way.*51\.1 %/);
    await expect(
      correct(e, { kind: 'ferment', id: ferment, to: { strengthPercentVol: 5 } }),
    ).rejects.toThrow(/still run R1, which was made of it, stands in the way.*hearts hold/);
    await expect(
      correct(e, { kind: 'still-run', id: run, to: { heartsLitresAt20C: 500 } }),
    ).rejects.toThrow(
      /spirit lot LOT1, which was made of it, stands in the way.*held 350\.0 LPA.*413\.0 LPA/,
    );
    await expect(
      correct(e, { kind: 'ferment', id: ferment, to: { endedOn: '2020-09-01' } }),
    ).rejects.toMatchObject({ code: 'impossible-yield', pointer: '/body/to/endedOn' });
    await expect(
      correct(e, { kind: 'harvest-lot', id: harvestA, to: { code: 'HB' } }),
    ).rejects.toMatchObject({ code: 'code-taken', pointer: '/body/to/code' });
    await expect(
      correct(e, { kind: 'still-run', id: run, to: { heartsLitresAt20C: 600 } }),
    ).rejects.toMatchObject({ code: 'nothing-to-do' });
    await holds(e);
  });

  test('of another fact stands beside it in either order; of the same fact the later one stands', async () => {
    const final: object[] = [];
    for (const order of [
      [0, 1, 2],
      [2, 1, 0],
      [1, 2, 0],
    ]) {
      const { e, ferment } = await estateWithLineage();
      const told: { to: object; at: string }[] = [
        { to: { yeast: 'from the pear skins' }, at: day(20) },
        { to: { vessel: 'Vat 4', yeast: 'wild, two days' }, at: day(21) },
        { to: { vessel: 'Vat 5' }, at: day(22) },
      ];
      for (const i of order) {
        const one = told[i];
        if (one) await correct(e, { kind: 'ferment', id: ferment, to: one.to }, one.at);
      }
      const { vessel, yeast, corrected } = e.records.peek('ferment', ferment) ?? {};
      final.push({ vessel, yeast, corrected });
      await holds(e);
    }
    expect(final[0]).toEqual({
      vessel: 'Vat 5',
      yeast: 'wild, two days',
      corrected: { vessel: day(22), yeast: day(21) },
    });
    expect(final[1]).toEqual(final[0]);
    expect(final[2]).toEqual(final[0]);
  });

  test('is not taken back while something made since rests on it, nor before a later one', async () => {
    const { e, harvestB } = await estateWithLineage();
    const first = await correct(e, { kind: 'harvest-lot', id: harvestB, to: { massKg: 5000 } });
    const second = await e.do(
      'ferment.record',
      {
        id: e.newId(),
        code: 'F2',
        vessel: 'Vat 4',
        yeast: 'wild',
        startedOn: '2020-09-22',
        endedOn: '2020-10-20',
        inputs: [{ harvestLotId: harvestB, massKg: 1000 }],
        bulkLitresAt20C: 800,
        strengthPercentVol: 6,
      },
      day(21),
    );
    await expect(reverse(e, first.entry.id)).rejects.toThrow(/ferment F\d.* stands in the way/);
    await reverse(e, second.entry.id);
    const later = await correct(
      e,
      { kind: 'harvest-lot', id: harvestB, to: { massKg: 5100 } },
      day(22),
    );
    await expect(reverse(e, first.entry.id)).rejects.toMatchObject({
      code: 'later-entries-depend',
      details: { laterEntryId: later.entry.id },
    });
    await reverse(e, later.entry.id);
    await reverse(e, first.entry.id);
    expect(e.records.peek('harvest-lot', harvestB)?.massKg).toBe(4000);
    await holds(e);
  });

  test('of a lot leaves its receipts as they are, also when it is taken back', async () => {
    const { e, lot } = await estateWithLineage();
    const { entry } = await correct(e, { kind: 'spirit-lot', id: lot, to: { name: 'Pear, late' } });
    await e.receive(e.vats[0], lot, 500, 70, day(4));
    const received = e.records.peek('spirit-lot', lot)?.receivedMg;
    await reverse(e, entry.id);
    expect(e.records.peek('spirit-lot', lot)).toMatchObject({
      name: 'Pear 2020',
      receivedMg: received,
    });
    await holds(e);
  });
});

describe('what is received as a spirit lot', () => {
  test('is held against its runs, over all their lots, to 3 %', async () => {
    const { e, run, lot } = await estateWithLineage();
    // The hearts were 600 L at 70 % vol: 420 LPA.
    await expect(e.receive(e.vats[0], lot, 619, 70, day(4))).rejects.toMatchObject({
      code: 'impossible-yield',
      pointer: '/body/lotId',
    });
    await e.receive(e.vats[0], lot, 300, 70, day(4));
    const half = e.newId();
    await e.do(
      'spirit-lot.record',
      { id: half, code: 'LOT2', name: 'Pear 2020 B', inputs: [{ stillRunId: run, share: 1 }] },
      day(4),
    );
    await expect(e.receive(e.vats[1], half, 319, 70, day(5))).rejects.toThrow(
      /210\.0 LPA were received as LOT1; 223\.3 LPA of it/,
    );
    const { entry } = await e.receive(e.vats[1], half, 317, 70, day(5));
    await reverse(e, entry.id);
    expect(e.records.peek('spirit-lot', half)?.receivedMg).toBe(0);
    await e.receive(e.vats[0], lot, 300, 70, day(6));
    await holds(e);
  });

  test('is taken back before the lot, and what took it before that', async () => {
    const { e, lot } = await estateWithLineage();
    const recorded = e.journal.entries.find(
      (x) => x.kind === 'spirit-lot.record' && x.body['id'] === lot,
    );
    const receipt = await e.receive(e.vats[0], lot, 500, 70, day(4));
    const fill = await e.fill(e.casks[0] ?? '', e.vats[0], 200, 70, day(5));
    await expect(reverse(e, recorded?.id ?? '')).rejects.toMatchObject({
      code: 'later-entries-depend',
      details: { laterEntryId: receipt.entry.id },
    });
    await expect(reverse(e, receipt.entry.id)).rejects.toMatchObject({
      code: 'later-entries-depend',
      details: { laterEntryId: fill.entry.id },
    });
    for (const id of [fill.entry.id, receipt.entry.id, recorded?.id ?? '']) await reverse(e, id);
    expect(e.records.peek('spirit-lot', lot)).toBeNull();
    await holds(e);
  });
});
