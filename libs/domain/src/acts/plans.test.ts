import { describe, expect, test } from 'vitest';
import { day, TestEstate, verifyInMemory } from '../../../../tests/support/memory-estate.ts';

async function planned() {
  const e = await new TestEstate().build(4);
  const [vat, blendVat] = e.vats;
  await e.receive(vat, e.lots[0], 400, 70);
  await e.receive(vat, e.lots[1], 400, 70);
  for (const cask of e.casks.slice(0, 3)) await e.fill(cask, vat, 200, 70);
  const save = async (casks: readonly string[], code: string) => {
    const id = e.newId();
    const parts = casks.map((c) => ({
      fillingId: e.fillingOf(c)?.id ?? '',
      bulkLitresAt20C: 200,
      strengthPercentVol: 70,
      whole: true,
    }));
    await e.do(
      'plan.save',
      {
        id,
        code,
        name: 'Harbour',
        blendOn: '2030-01-01',
        targetLitresAt20C: 600,
        targetStrengthPercentVol: 46,
        request: {},
        answer: {},
        parts,
        waterLitresAt20C: 210,
      },
      day(800),
    );
    return id;
  };
  return { e, blendVat, save };
}

describe('a blend plan', () => {
  test('two plans cannot reserve one cask, and a reserved cask is drawn for its own plan only', async () => {
    const { e, blendVat, save } = await planned();
    const [a, b] = e.casks as [string, string];
    const first = await save([a, b], 'PLAN-1');
    const second = await save([b], 'PLAN-2');
    await e.do('plan.reserve', { planId: first, vatId: blendVat }, day(801));
    await expect(
      e.do('plan.reserve', { planId: second, vatId: blendVat }, day(801)),
    ).rejects.toMatchObject({ code: 'cask-reserved' });
    const draw = { caskId: a, vatId: blendVat, readings: null, bulkLitresAt20C: null };
    await expect(e.do('cask.disgorge', { ...draw, planId: null }, day(802))).rejects.toMatchObject({
      code: 'cask-reserved',
    });
    await expect(
      e.do('cask.disgorge', { ...draw, caskId: e.casks[2] ?? '', planId: first }, day(802)),
    ).rejects.toMatchObject({ code: 'plan-closed' });
    await e.do('plan.cancel', { planId: first, reason: 'another day' }, day(803));
    await e.do('plan.reserve', { planId: second, vatId: blendVat }, day(804));
    expect(e.fillingOf(b)?.reservedByPlanId).toBe(second);
  });

  test('drawn, reduced and completed, it leaves a blend with the exact shares of its lots', async () => {
    const { e, blendVat, save } = await planned();
    const [a, b] = e.casks as [string, string];
    const plan = await save([a, b], 'PLAN-1');
    await e.do('plan.reserve', { planId: plan, vatId: blendVat }, day(801));
    const blendId = e.newId();
    const done = {
      planId: plan,
      blendId,
      code: 'B-1',
      name: 'Harbour',
      readings: { method: 'declared', bulkLitresAt20C: 607, strengthPercentVol: 46 },
    } as const;
    await expect(e.do('plan.complete', done, day(802))).rejects.toMatchObject({
      code: 'plan-closed',
    });
    const drawA = await e.do(
      'cask.disgorge',
      { caskId: a, vatId: blendVat, readings: null, bulkLitresAt20C: null, planId: plan },
      day(802),
    );
    await e.do(
      'cask.disgorge',
      { caskId: b, vatId: blendVat, readings: null, bulkLitresAt20C: null, planId: plan },
      day(802),
    );
    expect(e.records.peek('blend-plan', plan)?.drawn).toHaveLength(2);
    // The first draw is taken back and done again, though another has followed it.
    await e.do('entry.reverse', { entryId: drawA.entry.id, reason: 'valve left shut' }, day(803));
    expect(e.records.peek('blend-plan', plan)?.drawn).toHaveLength(1);
    expect(e.fillingOf(a)?.reservedByPlanId).toBe(plan);
    await e.do(
      'cask.disgorge',
      { caskId: a, vatId: blendVat, readings: null, bulkLitresAt20C: null, planId: plan },
      day(803),
    );
    await e.do(
      'vat.reduce',
      { vatId: blendVat, waterLitres: 210, waterTemperatureC: 15 },
      day(804),
    );
    await e.do('plan.complete', done, day(805));
    const blend = e.records.peek('blend', blendId);
    expect(blend?.lotShares[e.lots[0]]).toBeCloseTo(0.5, 9);
    expect(blend?.fillings.map((f) => f.ethanolShare)).toEqual([
      expect.closeTo(0.5, 6),
      expect.closeTo(0.5, 6),
    ]);
    expect(e.records.peek('blend-plan', plan)?.status).toBe('vatted');
    expect(e.records.peek('vat', blendVat)?.agedDays).toBeGreaterThan(790);
  });

  test('casks are let go before a draw, scanned out and put back; only its own casks are scanned', async () => {
    const { e, blendVat, save } = await planned();
    const [a, b, c] = e.casks as [string, string, string];
    const plan = await save([a, b], 'PLAN-1');
    const out = (caskId: string, isOut = true) =>
      e.do('plan.scan-out', { planId: plan, caskId, out: isOut }, day(802));
    await expect(out(a)).rejects.toMatchObject({ code: 'plan-closed' });
    await e.do('plan.reserve', { planId: plan, vatId: blendVat }, day(801));
    await out(a);
    await expect(out(a)).rejects.toMatchObject({ code: 'nothing-to-do' });
    await expect(out(c)).rejects.toMatchObject({ code: 'plan-closed' });
    expect(e.records.peek('blend-plan', plan)?.out?.map((o) => o.fillingId)).toEqual([
      e.fillingOf(a)?.id,
    ]);
    await out(a, false);
    await expect(out(a, false)).rejects.toMatchObject({ code: 'nothing-to-do' });
    await e.do('plan.release', { planId: plan }, day(803));
    expect(e.fillingOf(a)?.reservedByPlanId).toBeNull();
    expect(e.records.peek('blend-plan', plan)).toMatchObject({
      status: 'saved',
      vatId: null,
      out: [],
    });
    await e.do('plan.reserve', { planId: plan, vatId: blendVat }, day(804));
    await e.do(
      'cask.disgorge',
      { caskId: a, vatId: blendVat, readings: null, bulkLitresAt20C: null, planId: plan },
      day(805),
    );
    await expect(e.do('plan.release', { planId: plan }, day(806))).rejects.toMatchObject({
      code: 'plan-closed',
    });
  });

  test('a draw and the water are undone until the vat is recorded, to the milligram', async () => {
    const { e, blendVat, save } = await planned();
    const [a] = e.casks as [string];
    const plan = await save([a], 'PLAN-1');
    await e.do('plan.reserve', { planId: plan, vatId: blendVat }, day(801));
    const before = e.records.peek('vat', blendVat)?.content;
    const filling = e.fillingOf(a);
    const draw = await e.do(
      'cask.disgorge',
      { caskId: a, vatId: blendVat, readings: null, bulkLitresAt20C: null, planId: plan },
      day(802),
    );
    const water = await e.do(
      'vat.reduce',
      { vatId: blendVat, waterLitres: 50, waterTemperatureC: 15 },
      day(803),
    );
    const back = (entryId: string) =>
      e.do('plan.take-back', { planId: plan, entryId, reason: 'wrong valve' }, day(804));
    await back(water.entry.id);
    await expect(back(water.entry.id)).rejects.toMatchObject({ code: 'entry-already-reversed' });
    await back(draw.entry.id);
    const restored = e.records.peek('vat', blendVat)?.content;
    expect(restored?.waterMg).toBe(before?.waterMg);
    expect(Object.values(restored?.ethanolMgByLot ?? {}).reduce((s, mg) => s + mg, 0)).toBe(0);
    expect(e.fillingOf(a)?.content).toEqual(filling?.content);
    expect(e.records.peek('blend-plan', plan)).toMatchObject({ status: 'reserved', drawn: [] });
    // Undoing is an entry like any other: the journal folds to the same bytes and its water balances.
    expect((await verifyInMemory(e.journal.entries, e.records)).failures).toEqual([]);
  });
});
