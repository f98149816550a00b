/**
 * Spirit is under duty suspension until it is released for consumption: Council Directive (EU) 2020/262, article 6(3)(a), where
 * leaving a suspension arrangement is what makes duty fall due. That suspended and paid spirit are kept apart is common practice, no published source.
 */
import type { Posting } from '@rundlet/contracts';
import { beforeEach, describe, expect, test } from 'vitest';
import { refusal, TestEstate, verifyInMemory } from '../../../../tests/support/memory-estate.ts';
import { ethanolMg } from '../index.ts';

const on = (date: string): string => `${date}T10:00:00.000Z`;
let e: TestEstate;
let [one, other, empty] = ['', '', ''];
const PAID_VAT = 3;

const release = (caskId = one, date = '2020-02-10') =>
  e.do('cask.release-duty', { caskId, reference: 'W-17/2020' }, on(date));
const disgorge = (vat: number, caskId = one) =>
  e.do(
    'cask.disgorge',
    {
      caskId,
      vatId: e.vats[vat] ?? '',
      planId: null,
      readings: null,
      bulkLitresAt20C: null,
    },
    on('2020-03-01'),
  );
const topUp = (caskId: string, source: { vat: number } | { cask: string }) =>
  e.do(
    'cask.top-up',
    {
      caskId,
      bulkLitresAt20C: 2,
      source:
        'vat' in source
          ? { kind: 'vat', vatId: e.vats[source.vat] ?? '' }
          : { kind: 'cask', caskId: source.cask },
    },
    on('2020-03-02'),
  );
const sample = (caskId: string) =>
  e.do(
    'cask.sample',
    {
      caskId,
      sampleId: e.newId(),
      code: `S${e.newId().slice(-8).toUpperCase()}`,
      bulkLitresAt20C: 0.5,
      purpose: 'nosing',
    },
    on('2020-03-03'),
  );
/** What the account says is under suspension. */
const account = async () =>
  (await e.records.postingSums({ from: '2020-01', to: '2020-12' })).reduce(
    (mg, sum) => mg + sum.ethanolMg,
    0,
  );
const heldIn = (caskId: string) => ethanolMg(e.fillingOf(caskId)?.content ?? none);
const none = { waterMg: 0, ethanolMgByLot: {} };
const linesOf = (entryId: string): Promise<Posting[]> => e.records.postingsOfEntry(entryId);
const verified = async () =>
  expect((await verifyInMemory(e.journal.entries, e.records)).failures).toEqual([]);

beforeEach(async () => {
  e = await new TestEstate().build(4);
  [one = '', other = '', empty = ''] = e.casks;
  await e.receive(e.vats[0], e.lots[0], 1000, 65, on('2020-01-10'));
  await e.fill(one, e.vats[0], 200, 65, on('2020-01-12'));
  await e.fill(other, e.vats[0], 190, 65, on('2020-01-12'));
});

describe('a cask released from duty suspension', () => {
  test('leaves the account with what it holds, and stays where it is', async () => {
    const [before, held] = [await account(), heldIn(one)];
    const { entry } = await release();
    expect(await account()).toBe(before - held);
    expect(e.fillingOf(one)).toMatchObject({ dutyStatus: 'paid', status: 'maturing' });
    expect(heldIn(one)).toBe(held);
    // 200 L of 65 % vol are 130 L of ethanol of 789.24 kg/m³ (OIML R 22).
    expect(held / 789_240).toBeCloseTo(130, 3);
    expect(await linesOf(entry.id)).toMatchObject([
      { cause: 'released', dutyStatus: 'suspended', ethanolMg: -held, month: '2020-02' },
      { cause: 'released', dutyStatus: 'paid', ethanolMg: held, month: '2020-02' },
    ]);
    await verified();
  });

  test('moves the account no more: its samples and what it is emptied into are duty-paid', async () => {
    await release();
    const after = await account();
    await sample(one);
    await e.do('cask.re-rack', {
      fromCaskId: one,
      toCaskId: empty,
      fillingId: e.newId(),
      readings: null,
      positionId: null,
    });
    expect(e.fillingOf(empty)?.dutyStatus).toBe('paid');
    await e.do(
      'cask.disgorge',
      {
        caskId: empty,
        vatId: e.vats[PAID_VAT],
        planId: null,
        readings: null,
        bulkLitresAt20C: null,
      },
      on('2023-03-01'),
    );
    await e.fill(one, e.vats[PAID_VAT], 150, 65, on('2023-03-02'));
    expect(e.fillingOf(one)?.dutyStatus).toBe('paid');
    expect(await account()).toBe(after);
    await verified();
  });

  test('is not put to spirit under suspension, nor that to it, by whichever way', async () => {
    await release();
    for (const doing of [
      () => disgorge(0, one),
      () => disgorge(PAID_VAT, other),
      () => topUp(one, { vat: 0 }),
      () => topUp(one, { cask: other }),
      () => topUp(other, { cask: one }),
    ])
      expect(await refusal(doing())).toBe('different-duty-status');
    await disgorge(PAID_VAT, one);
    expect(
      await refusal(
        e.do('vat.transfer', {
          fromVatId: e.vats[PAID_VAT],
          toVatId: e.vats[1],
          bulkLitresAt20C: 10,
        }),
      ),
    ).toBe('different-duty-status');
    await expect(topUp(other, { vat: PAID_VAT })).rejects.toThrow(/for duty-paid spirit/);
    await verified();
  });

  test('goes back when the entry is reversed, only while nothing has come after', async () => {
    const before = await account();
    const { entry } = await release();
    const sampled = await sample(one);
    const reverse = (entryId: string) =>
      e.do('entry.reverse', { entryId, reason: 'another cask was meant' }, on('2020-04-01'));
    expect(await refusal(reverse(entry.id))).toBe('later-entries-depend');
    await reverse(sampled.entry.id);
    const back = await reverse(entry.id);
    expect(e.fillingOf(one)?.dutyStatus).toBe('suspended');
    expect(await account()).toBe(before);
    expect((await linesOf(back.entry.id)).map((line) => line.dutyStatus)).toEqual([
      'suspended',
      'paid',
    ]);
    await verified();
  });

  test('is released once, by what the book knew that day, and not while a plan has it', async () => {
    await e.do(
      'cask.gauge',
      {
        caskId: one,
        readings: { method: 'declared', bulkLitresAt20C: 198, strengthPercentVol: 64.8 },
      },
      on('2020-02-20'),
    );
    expect(await refusal(release(one, '2020-02-10'))).toBe('later-entries-depend');
    await release(one, '2020-02-21');
    expect(await refusal(release(one, '2020-02-22'))).toBe('nothing-to-do');
    expect(await refusal(release(empty))).toBe('cask-empty');
    const planId = e.newId();
    await e.do('plan.save', {
      id: planId,
      code: 'B-1',
      name: 'Two casks',
      blendOn: '2021-01-01',
      targetLitresAt20C: 380,
      targetStrengthPercentVol: 64,
      request: {},
      answer: {},
      parts: [one, other].map((caskId) => ({
        fillingId: e.fillingOf(caskId)?.id ?? '',
        bulkLitresAt20C: 180,
        strengthPercentVol: 64,
        whole: true,
      })),
      waterLitresAt20C: 0,
    });
    const reserve = () => e.do('plan.reserve', { planId, vatId: e.vats[PAID_VAT] });
    await expect(reserve()).rejects.toMatchObject({
      code: 'different-duty-status',
      message: expect.stringContaining(e.fillingOf(other)?.caskCode ?? '-') as string,
    });
    await release(other, '2020-02-23');
    await reserve();
    expect(e.fillingOf(one)?.reservedByPlanId).toBe(planId);
  });

  test('late: a release that comes after its month was closed counts in the first open one', async () => {
    await e.do('account.close-month', { month: '2020-01' }, on('2020-03-05'));
    await e.do('account.close-month', { month: '2020-02' }, on('2020-03-05'));
    const held = heldIn(one);
    await release();
    await e.do('account.close-month', { month: '2020-03' }, on('2020-04-05'));
    expect(
      e.records.peek('month-close', '2020-03')?.lines.flatMap((line) => line.movements),
    ).toEqual([{ cause: 'released', ethanolMg: -held, ofEarlierMonthsMg: -held }]);
    await verified();
  });
});

test('spirit received duty-paid is in no account, and verification finds a line that books it into one', async () => {
  const before = await account();
  await e.receive(e.vats[PAID_VAT], e.lots[1], 100, 60, on('2020-02-01'));
  expect(await account()).toBe(before);
  const { entry } = await release();
  await e.do('entry.reverse', { entryId: entry.id, reason: 'a mistake' }, on('2020-02-11'));
  await verified();
  const entries = e.journal.entries.map((one) => structuredClone(one));
  const { postings } = entries.at(-1)?.outcome as { postings: { dutyStatus: string }[] };
  for (const line of postings) line.dutyStatus = 'suspended';
  const { failures } = await verifyInMemory(entries, null);
  expect(failures.map((f) => f.what)).toContainEqual(
    expect.stringMatching(/changes what is under duty suspension by \d+ mg .* books 0 mg/),
  );
});
