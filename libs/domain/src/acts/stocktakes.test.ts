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

  test('a cask that moves by the book while the count runs is marked, and counts as found where it stands', async () => {
    const { e, count, line } = await counting();
    const [a] = e.casks as [string];
    await e.do('cask.move', { caskId: a, positionId: e.positions[6] ?? '' }, day(11));
    expect(line(a)?.movedDuringCount).toBe(true);
    await count(a, e.positions[6] ?? null);
    expect(line(a)?.state).toBe('found');
  });
});
