import { describe, expect, test } from 'vitest';
import { day, TestEstate } from '../../../../tests/support/memory-estate.ts';

async function counting() {
  const e = await new TestEstate().build(4);
  const stocktakeId = e.newId();
  await e.do(
    'stocktake.open',
    {
      id: stocktakeId,
      code: 'ST-1',
      title: 'Spring count',
      scope: { storeId: e.store, zoneIds: [], rows: [] },
      blind: false,
    },
    day(10),
  );
  const count = (caskId: string | null, positionId: string | null, scanned = 'scan') =>
    e.do(
      'stocktake.count',
      { stocktakeId, scanned, caskId, positionId, damagedLabel: false },
      day(11),
    );
  const line = (key: string) => e.records.peek('stocktake-line', `${stocktakeId}:${key}`);
  return { e, stocktakeId, count, line };
}

describe('a stock-take', () => {
  test('tells found, misplaced, unknown and counted twice apart, and what was not seen is missing once reconciled', async () => {
    const { e, stocktakeId, count, line } = await counting();
    const [a, b, c, d] = e.casks as [string, string, string, string];
    await count(a, e.positions[0] ?? null);
    await count(a, e.positions[0] ?? null);
    await count(b, e.positions[5] ?? null);
    await count(null, null, 'XYZ');
    expect(line(a)).toMatchObject({ state: 'found', timesCounted: 2 });
    expect(line(b)).toMatchObject({ state: 'misplaced', foundPositionId: e.positions[5] });
    expect(line('XYZ')).toMatchObject({ state: 'unknown', caskId: null });
    expect(line(c)?.state).toBe('expected');

    await expect(
      e.do('stocktake.sign', { stocktakeId, statement: 'counted' }),
    ).rejects.toMatchObject({ code: 'same-person' });
    e.actorId = 'keeper';
    await expect(
      e.do('stocktake.sign', { stocktakeId, statement: 'counted' }),
    ).rejects.toMatchObject({ code: 'stocktake-unresolved' });
    const settle = (
      id: string,
      resolution: 'move-to-found' | 'leave-as-book' | 'note-unknown',
    ) => ({ lineId: `${stocktakeId}:${id}`, resolution, reason: 'looked again' });
    await e.do(
      'stocktake.reconcile',
      {
        stocktakeId,
        resolutions: [
          settle(b, 'move-to-found'),
          settle(c, 'leave-as-book'),
          settle(d, 'leave-as-book'),
          settle('XYZ', 'note-unknown'),
        ],
      },
      day(12),
    );
    expect(e.records.peek('cask', b)?.positionId).toBe(e.positions[5]);
    expect(line(c)?.state).toBe('missing');
    await expect(e.do('stocktake.sign', { stocktakeId, statement: 'x' })).rejects.toMatchObject({
      code: 'same-person',
    });
    e.actorId = 'clerk';
    await e.do('stocktake.sign', { stocktakeId, statement: 'agrees with the sheet' }, day(13));
    expect(e.records.peek('stocktake', stocktakeId)).toMatchObject({
      status: 'signed',
      signedBy: 'clerk',
    });
    await expect(count(c, null)).rejects.toMatchObject({ code: 'stocktake-closed' });
  });

  test('two casks found in each other’s place change places', async () => {
    const { e, stocktakeId, count } = await counting();
    const [a, b] = e.casks as [string, string];
    await count(a, e.positions[1] ?? null);
    await count(b, e.positions[0] ?? null);
    const resolutions = [a, b].map((id) => ({
      lineId: `${stocktakeId}:${id}`,
      resolution: 'move-to-found' as const,
      reason: 'swapped',
    }));
    await e.do('stocktake.reconcile', { stocktakeId, resolutions }, day(12));
    expect(e.records.peek('cask', a)?.positionId).toBe(e.positions[1]);
    expect(e.records.peek('cask', b)?.positionId).toBe(e.positions[0]);
  });

  describe('while work goes on', () => {
    const minute = (n: number) => new Date(Date.parse(day(11)) + n * 60_000).toISOString();
    const counted = async (order: 'move first' | 'count first', moved: string, seen: string) => {
      const { e, stocktakeId, line } = await counting();
      const [a] = e.casks as [string];
      const move = e.make('cask.move', { caskId: a, positionId: e.positions[6] ?? '' }, moved);
      const found = (positionId: string | undefined) =>
        e.make(
          'stocktake.count',
          {
            stocktakeId,
            scanned: 'scan',
            caskId: a,
            positionId: positionId ?? '',
            damagedLabel: false,
          },
          seen,
        );
      return {
        at: async (positionId: string | undefined) => {
          const acts = [move, found(positionId)];
          for (const act of order === 'move first' ? acts : acts.reverse()) await e.send(act);
          return line(a);
        },
        positions: e.positions,
      };
    };

    test.each(['move first', 'count first'] as const)(
      'a cask counts as found where the book had it at that time, %s',
      async (order) => {
        const before = await counted(order, minute(60), minute(0));
        expect((await before.at(before.positions[0]))?.state).toBe('found');
        const after = await counted(order, minute(0), minute(60));
        expect((await after.at(after.positions[6]))?.state).toBe('found');
        const stale = await counted(order, minute(0), minute(60));
        expect((await stale.at(stale.positions[0]))?.state).toBe('misplaced');
        const apart = await counted(order, minute(0), minute(3));
        expect((await apart.at(apart.positions[0]))?.state).toBe('found');
      },
    );

    test('a cask that goes out of use unseen has left, and asks nothing of anybody', async () => {
      const { e, line } = await counting();
      const [a] = e.casks as [string];
      await e.do('cask.retire', { caskId: a, reason: 'staves split' }, minute(5));
      expect(line(a)?.state).toBe('left');
    });

    test('a cask brought into the count by the book is no difference', async () => {
      const e = await new TestEstate().build(2);
      const stocktakeId = e.newId();
      const scope = { storeId: e.store, zoneIds: [e.zones[0]], rows: [] };
      await e.do(
        'stocktake.open',
        { id: stocktakeId, code: 'ST-2', title: 'One floor', scope, blind: true },
        day(10),
      );
      const [, outside] = e.casks as [string, string];
      await e.do('cask.move', { caskId: outside, positionId: e.positions[2] ?? '' }, minute(0));
      await e.do(
        'stocktake.count',
        {
          stocktakeId,
          scanned: 'scan',
          caskId: outside,
          positionId: e.positions[2] ?? '',
          damagedLabel: false,
        },
        minute(30),
      );
      expect(e.records.peek('stocktake-line', `${stocktakeId}:${outside}`)).toMatchObject({
        state: 'found',
        expectedPositionId: null,
      });
    });

    test('a cask booked on the spot where it was found stays on the sheet as misplaced, and settled', async () => {
      const { e, stocktakeId, count, line } = await counting();
      const [a] = e.casks as [string];
      await count(a, e.positions[5] ?? null);
      await e.do(
        'cask.move',
        { caskId: a, positionId: e.positions[5] ?? '', stocktakeId },
        minute(1),
      );
      expect(line(a)).toMatchObject({ state: 'misplaced', foundPositionId: e.positions[5] });
      expect(line(a)?.resolution).toMatch(/booked where it was found/);
      expect(e.records.peek('cask', a)?.positionId).toBe(e.positions[5]);
    });
  });

  test('a recount is told apart from counting twice, and opens what was settled', async () => {
    const { e, stocktakeId, count, line } = await counting();
    const [a] = e.casks as [string];
    await e.do('stocktake.recount', { stocktakeId, lineIds: [], reason: 'nobody seen' }, day(10.5));
    await count(a, e.positions[0] ?? null);
    expect(line(a)).toMatchObject({ state: 'found', timesCounted: 0, recounts: 1 });

    const [, b] = e.casks as [string, string];
    const settle = (resolution: 'leave-as-book' | 'take-out-of-place') =>
      e.do(
        'stocktake.reconcile',
        {
          stocktakeId,
          resolutions: [{ lineId: `${stocktakeId}:${b}`, resolution, reason: 'looked twice' }],
        },
        day(12),
      );
    await settle('take-out-of-place');
    expect(e.records.peek('cask', b)?.positionId).toBeNull();
    expect(e.records.peek('position', e.positions[1] ?? '')?.occupied).toBe(0);
    expect(line(b)?.state).toBe('missing');
    await count(b, e.positions[5] ?? null);
    expect(line(b)).toMatchObject({ state: 'misplaced', resolution: null });
  });

  test('a count of one owner’s casks expects only theirs, and a sample can be drawn again from its seed', async () => {
    const e = await new TestEstate().build(6);
    await e.receive(e.vats[0], e.lots[0] ?? '', 2000, 60);
    for (const cask of e.casks.slice(0, 4)) await e.fill(cask, e.vats[0], 190, 60);
    const open = async (more: object) => {
      const id = e.newId();
      const scope = { storeId: e.store, zoneIds: [], rows: [], ...more };
      await e.do('stocktake.open', {
        id,
        code: `ST-${id.slice(-4)}`,
        title: 'x',
        scope,
        blind: false,
      });
      const lines = e.records.all('stocktake-line').filter((l) => l.stocktakeId === id);
      return {
        stocktake: e.records.peek('stocktake', id),
        codes: lines.map((l) => l.caskId).sort(),
      };
    };
    const owned = await open({ accountIds: [e.account] });
    expect(owned.codes).toEqual(e.casks.slice(0, 4));
    const sample = { casks: 2, seed: 'drawn by lot' };
    const first = await open({ sample });
    expect(first.codes).toHaveLength(2);
    expect(first.stocktake?.population).toBe(6);
    expect((await open({ sample })).codes).toEqual(first.codes);
    const draws = new Set<string>();
    for (let i = 0; i < 40; i++)
      draws.add((await open({ sample: { casks: 1, seed: String(i) } })).codes.join());
    expect(draws.size).toBe(6);
  });

  test('a count given up is closed, with its reason', async () => {
    const { e, stocktakeId, count } = await counting();
    await e.do('stocktake.abandon', { stocktakeId, reason: 'opened by mistake' }, day(11));
    expect(e.records.peek('stocktake', stocktakeId)).toMatchObject({
      status: 'abandoned',
      statement: 'opened by mistake',
    });
    await expect(count(null, null)).rejects.toMatchObject({ code: 'stocktake-closed' });
  });
});
