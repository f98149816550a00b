import { DomainError } from '../index.ts';
import type { JournalEntry } from '@rundlet/contracts';
import { describe, expect, test } from 'vitest';
import { day, TestEstate, verifyInMemory } from '../../../../tests/support/memory-estate.ts';

const refusal = async (work: Promise<unknown>): Promise<string> => {
  const error: unknown = await work.then(
    () => null,
    (e: unknown) => e,
  );
  if (!(error instanceof DomainError)) throw new Error(`expected a refusal, got ${String(error)}`);
  return error.code;
};

const verify = (estate: TestEstate, entries: readonly JournalEntry[] = estate.journal.entries) =>
  verifyInMemory(entries, estate.records);

async function filled(): Promise<TestEstate> {
  const e = await new TestEstate().build();
  await e.receive(e.vats[0], e.lots[0], 1000, 70);
  await e.fill(e.casks[0] ?? '', e.vats[0], 200, 70);
  await e.fill(e.casks[1] ?? '', e.vats[0], 199, 70);
  return e;
}

describe('the filling day', () => {
  test('fill, close the vat, and the account holds what the vessels hold', async () => {
    const e = await filled();
    await e.do(
      'vat.gauge',
      {
        vatId: e.vats[0],
        cause: 'filling-difference',
        readings: { method: 'declared', bulkLitresAt20C: 599, strengthPercentVol: 70 },
      },
      day(3),
    );
    const vat = e.records.peek('vat', e.vats[0]);
    expect(vat?.figures.bulkLitresAt20C).toBeCloseTo(599, 4);
    const loss = e.records
      .all('posting')
      .filter((p) => p.cause === 'filling-difference')
      .reduce((s, p) => s + p.ethanolMg, 0);
    expect(loss).toBeLessThan(0);
    expect((await verify(e)).failures).toEqual([]);
  });

  test('a cask is filled once, holds what it can, and a full position is refused', async () => {
    const e = await filled();
    expect(await refusal(e.fill(e.casks[0] ?? '', e.vats[0], 200, 70))).toBe('cask-already-filled');
    expect(await refusal(e.fill(e.casks[2] ?? '', e.vats[0], 400, 70))).toBe('overfilled');
    expect(
      await refusal(e.fill(e.casks[2] ?? '', e.vats[0], 200, 70, day(2), e.positions[0])),
    ).toBe('position-full');
    expect(await refusal(e.fill(e.casks[2] ?? '', e.vats[1], 200, 70))).toBe('not-enough-liquid');
    expect((await verify(e)).ok).toBe(true);
  });

  test('a reading dated before the fill, a strength out of range and an unknown cask are refused in words', async () => {
    const e = await filled();
    const declared = { method: 'declared', bulkLitresAt20C: 190, strengthPercentVol: 69 } as const;
    expect(
      await refusal(e.do('cask.gauge', { caskId: e.casks[0] ?? '', readings: declared }, day(1))),
    ).toBe('before-fill');
    expect(await refusal(e.do('cask.gauge', { caskId: e.newId(), readings: declared }))).toBe(
      'record-not-found',
    );
    expect(
      await refusal(
        e.do('cask.gauge', {
          caskId: e.casks[0] ?? '',
          readings: {
            method: 'weight',
            grossKg: 40,
            tareKg: 50,
            liquidTemperatureC: 15,
            strength: { kind: 'laboratory', strengthPercentVol: 69 },
          },
        }),
      ),
    ).toBe('reading-impossible');
    expect(
      await refusal(
        e.do('cask.gauge', { caskId: e.casks[0] ?? '', readings: declared }, day(5000)),
      ),
    ).toBe('in-the-future');
  });
});

describe('once, whatever the order', () => {
  test('the same act sent again changes nothing; the same id with another content is refused', async () => {
    const e = await filled();
    const act = e.sent.at(-1);
    if (!act) throw new Error('no act');
    expect((await e.send(act)).status).toBe('already-applied');
    expect(await refusal(e.send({ ...act, happenedAt: day(9) }))).toBe('act-id-reused');
  });

  test('moves sent in the wrong order leave the cask where it went last', async () => {
    const [a, b] = [await filled(), await filled()];
    for (const [e, order] of [
      [a, [0, 1]],
      [b, [1, 0]],
    ] as const) {
      const moves = [
        e.make(
          'cask.move',
          { caskId: e.casks[0] ?? '', positionId: e.positions[7] ?? '' },
          day(10),
        ),
        e.make(
          'cask.move',
          { caskId: e.casks[0] ?? '', positionId: e.positions[8] ?? '' },
          day(11),
        ),
      ];
      for (const i of order) await e.send(moves[i] as never);
      expect(e.records.peek('cask', e.casks[0] ?? '')?.positionId).toBe(e.positions[8]);
      expect(e.records.peek('position', e.positions[7] ?? '')?.occupied).toBe(0);
      expect((await verify(e)).failures).toEqual([]);
    }
  });

  test('an older gauge that arrives late is kept and does not unsettle the book', async () => {
    const e = await filled();
    const gauge = (litres: number, at: string) =>
      e.do(
        'cask.gauge',
        {
          caskId: e.casks[0] ?? '',
          readings: { method: 'declared', bulkLitresAt20C: litres, strengthPercentVol: 69 },
        },
        at,
      );
    await gauge(190, day(800));
    await gauge(195, day(400));
    expect(e.fillingOf(e.casks[0] ?? '')?.figures.bulkLitresAt20C).toBeCloseTo(190, 4);
    expect(e.records.all('gauge')).toHaveLength(2);
    expect((await verify(e)).failures).toEqual([]);
  });

  test('a move held for want of room is applied once an entry makes room, and its device hears so', async () => {
    const e = await filled();
    const act = e.make(
      'cask.move',
      { caskId: e.casks[0] ?? '', positionId: e.positions[1] ?? '' },
      day(20),
      { offline: true },
    );
    expect((await e.send(act)).status).toBe('held');
    expect((await e.send(act)).status).toBe('held');
    await e.do(
      'cask.move',
      { caskId: e.casks[1] ?? '', positionId: e.positions[8] ?? '' },
      day(21),
    );
    expect(e.records.peek('cask', e.casks[0] ?? '')?.positionId).toBe(e.positions[1]);
    expect(e.records.peek('held-act', act.id)?.status).toBe('applied');
    expect((await e.send(act)).status).toBe('already-applied');
    expect((await verify(e)).failures).toEqual([]);
  });

  test('an act held for another reason waits for a keeper, who tries it again', async () => {
    const e = await new TestEstate().build(2);
    await e.receive(e.vats[0], e.lots[0] ?? '', 1000, 60);
    const readings = {
      method: 'declared' as const,
      bulkLitresAt20C: 188,
      strengthPercentVol: 59,
    };
    const caskId = e.casks[0] ?? '';
    const act = e.make('cask.gauge', { caskId, readings }, day(20), { offline: true });
    expect((await e.send(act)).status).toBe('held');
    await e.fill(caskId, e.vats[0], 190, 60, day(10));
    expect(e.records.peek('held-act', act.id)?.status).toBe('open');
    await e.do(
      'held.settle',
      { heldActId: act.id, verdict: 'try-again', reason: 'the fill has been booked' },
      day(22),
    );
    expect(e.records.peek('held-act', act.id)?.status).toBe('applied');
    expect(e.fillingOf(caskId)?.figures.bulkLitresAt20C).toBeCloseTo(188, 6);
  });
});

describe('mistakes are reversed by another entry', () => {
  test('a fill in the middle of a run can be reversed; vat, cask, place and account go back', async () => {
    const e = await filled();
    const first = e.sent.find((a) => a.kind === 'cask.fill');
    const vatBefore = e.records.peek('vat', e.vats[0])?.figures.litresPureAlcohol ?? 0;
    await e.do('entry.reverse', { entryId: first?.id ?? '', reason: 'wrong cask scanned' }, day(5));
    expect(e.records.peek('cask', e.casks[0] ?? '')?.status).toBe('empty');
    expect(e.records.peek('vat', e.vats[0])?.figures.litresPureAlcohol).toBeCloseTo(
      vatBefore + 140,
      6,
    );
    expect(
      await refusal(e.do('entry.reverse', { entryId: first?.id ?? '', reason: 'again' })),
    ).toBe('entry-already-reversed');
    expect((await verify(e)).failures).toEqual([]);
  });

  test('what later entries rest on is reversed newest first', async () => {
    const e = await filled();
    const fill = e.sent.find((a) => a.kind === 'cask.fill');
    const gauge = await e.do(
      'cask.gauge',
      {
        caskId: e.casks[0] ?? '',
        readings: { method: 'declared', bulkLitresAt20C: 195, strengthPercentVol: 69.5 },
      },
      day(300),
    );
    expect(await refusal(e.do('entry.reverse', { entryId: fill?.id ?? '', reason: 'x' }))).toBe(
      'later-entries-depend',
    );
    await e.do('entry.reverse', { entryId: gauge.entry.id, reason: 'misread' }, day(301));
    await e.do('entry.reverse', { entryId: fill?.id ?? '', reason: 'x' }, day(302));
    expect(e.fillingOf(e.casks[0] ?? '')).toBeNull();
    expect((await verify(e)).failures).toEqual([]);
  });
});

describe('verification', () => {
  test('any changed, missing, swapped or inserted entry and any edited record is named', async () => {
    const e = await filled();
    const good = e.journal.entries;
    expect((await verify(e)).ok).toBe(true);
    const tampered = good.map((x, i) => (i === 9 ? { ...x, actorId: 'someone else' } : x));
    expect((await verify(e, tampered)).failures[0]).toMatchObject({
      entrySeq: 10,
      what: expect.stringContaining('hash') as string,
    });
    expect(
      (
        await verify(
          e,
          good.filter((_, i) => i !== 5),
        )
      ).failures[0]?.entrySeq,
    ).toBe(7);
    const swapped = [...good];
    [swapped[3], swapped[4]] = [swapped[4] as JournalEntry, swapped[3] as JournalEntry];
    expect((await verify(e, swapped)).ok).toBe(false);
    expect(
      (await verify(e, [...good.slice(0, 4), good[3] as JournalEntry, ...good.slice(4)])).ok,
    ).toBe(false);
    const filling = e.fillingOf(e.casks[0] ?? '');
    if (!filling) throw new Error('no filling');
    e.records.put('filling', { ...filling, fillNumber: 2 });
    expect((await verify(e)).failures[0]).toMatchObject({ record: `filling:${filling.id}` });
  });
});
