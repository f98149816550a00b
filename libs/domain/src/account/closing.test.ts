import fc from 'fast-check';
import { beforeEach, describe, expect, test } from 'vitest';
import { refusal, TestEstate, verifyInMemory } from '../../../../tests/support/memory-estate.ts';
import { canonicalJson, DomainError, monthAfter, monthsBetween } from '../index.ts';

const on = (date: string): string => `${date}T10:00:00.000Z`;
let e: TestEstate;
const close = (month: string, at = `${monthAfter(month)}-05`) =>
  e.do('account.close-month', { month }, on(at));
const sample = (date: string, litres = 0.5) =>
  e.do(
    'cask.sample',
    {
      caskId: e.casks[0] ?? '',
      sampleId: e.newId(),
      code: `S${e.newId().slice(-8).toUpperCase()}`,
      bulkLitresAt20C: litres,
      purpose: 'nosing',
    },
    on(date),
  );
const movementOf = (month: string, cause: string) =>
  e.records
    .peek('month-close', month)
    ?.lines.flatMap((line) => line.movements)
    .find((m) => m.cause === cause);

beforeEach(async () => {
  e = await new TestEstate().build(3);
  await e.receive(e.vats[0], e.lots[0], 1000, 65, on('2020-01-10'));
  await e.fill(e.casks[0] ?? '', e.vats[0], 200, 65, on('2020-01-12'));
});

describe('closing a month', () => {
  test('keeps what opened, moved and closed it, and the journal as it stood', async () => {
    await sample('2020-02-03');
    const { entry } = await close('2020-01');
    const january = e.records.peek('month-close', '2020-01');
    expect(january).toMatchObject({
      closedBy: 'operative',
      journalSeq: entry.seq - 1,
      journalHash: entry.previousHash,
      lines: [{ accountId: e.account, storeId: e.store, openingMg: 0 }],
    });
    await close('2020-02');
    const february = e.records.peek('month-close', '2020-02')?.lines[0];
    expect(february?.openingMg).toBe(january?.lines[0]?.closingMg);
    expect(february?.movements.map((m) => m.cause)).toEqual(['sample']);
    // 0.5 L of 65 % vol are 0.325 L of ethanol; its density at 20 °C is 789.24 kg/m³ (OIML R 22).
    expect((february?.movements[0]?.ethanolMg ?? 0) / -789_240).toBeCloseTo(0.325, 3);
  });

  test('goes month by month, after the month has ended', async () => {
    expect(await refusal(close('2020-01', '2020-01-31'))).toBe('month-not-closable');
    // The estate's tests receive acts on 14 December 2030.
    expect(await refusal(close('2030-12', '2030-12-14'))).toBe('month-not-closable');
    await close('2020-01');
    expect(await refusal(close('2020-01'))).toBe('month-not-closable');
    expect(await refusal(close('2020-03'))).toBe('month-not-closable');
    await close('2020-02');
  });

  test('what comes later for a closed month counts in the first open one, with both dates', async () => {
    await sample('2020-02-03');
    await close('2020-01');
    await close('2020-02');
    const bytes = ['2020-01', '2020-02'].map((m) =>
      canonicalJson(e.records.peek('month-close', m)),
    );
    const { entry } = await sample('2020-01-20', 1);
    await sample('2020-03-02', 2);
    const [line] = await e.records.postingsOfEntry(entry.id);
    expect(line).toMatchObject({ at: on('2020-01-20'), month: '2020-03' });
    await close('2020-03');
    expect(
      ['2020-01', '2020-02'].map((m) => canonicalJson(e.records.peek('month-close', m))),
    ).toEqual(bytes);
    const late = movementOf('2020-03', 'sample')?.ofEarlierMonthsMg ?? 0;
    expect(late).toBe(line?.ethanolMg);
    expect(movementOf('2020-03', 'sample')?.ethanolMg ?? 0).toBeLessThan(late);
    expect((await verifyInMemory(e.journal.entries, e.records)).failures).toEqual([]);
  });

  test('a reversal of an entry in a closed month leaves the month as it was', async () => {
    const { entry } = await sample('2020-01-20', 1);
    await close('2020-01');
    const before = canonicalJson(e.records.peek('month-close', '2020-01'));
    await e.do('entry.reverse', { entryId: entry.id, reason: 'a mistake' }, on('2020-01-25'));
    expect(canonicalJson(e.records.peek('month-close', '2020-01'))).toBe(before);
    await close('2020-02');
    expect(movementOf('2020-02', 'sample')?.ethanolMg).toBe(
      -(movementOf('2020-01', 'sample')?.ethanolMg ?? 0),
    );
  });

  test('is taken back only while no later month is closed', async () => {
    const january = await close('2020-01');
    const february = await close('2020-02');
    const reverse = (entryId: string) =>
      e.do('entry.reverse', { entryId, reason: 'too early' }, on('2020-03-10'));
    expect(await refusal(reverse(january.entry.id))).toBe('later-entries-depend');
    await reverse(february.entry.id);
    expect(e.records.peek('account-lock', 'account')?.through).toBe('2020-01');
    await reverse(january.entry.id);
    expect(e.records.peek('account-lock', 'account')).toBeNull();
    await close('2020-02');
    expect((await verifyInMemory(e.journal.entries, e.records)).failures).toEqual([]);
  });

  test('verification names a close whose figures are not those of its lines', async () => {
    await close('2020-01');
    const entries = e.journal.entries.map((entry) => structuredClone(entry));
    const [line] = (entries.at(-1)?.outcome as { lines: { closingMg: number }[] }).lines;
    if (line) line.closingMg += 1;
    const { failures } = await verifyInMemory(entries, null);
    expect(failures.map((f) => f.what)).toContain(
      'the month is closed with other figures than its lines come to',
    );
  });
});

describe('terms of the account', () => {
  const terms = {
    unit: 'litres-pure-alcohol',
    allowances: [{ cause: 'gauge-difference', percent: 2.5, of: 'opening-stock-a-year' }],
    duty: null,
    reference: '',
  } as const;
  const set = (value: unknown, effectiveFrom: string) =>
    e.do('setting.set', { key: 'account.terms', value, effectiveFrom }, on('2020-03-10'));

  test('are refused with the field that is wrong', async () => {
    const wrong = { ...terms, allowances: [{ ...terms.allowances[0], percent: 101 }] };
    await expect(set(wrong, '2020-01-01')).rejects.toMatchObject({
      code: 'setting-wrong',
      pointer: '/body/value/allowances/0/percent',
    });
    const twice = { ...terms, allowances: [terms.allowances[0], terms.allowances[0]] };
    expect(await refusal(set(twice, '2020-01-01'))).toBe('setting-wrong');
  });

  test('stand for a closed month, and cannot be reversed under it', async () => {
    const { entry } = await set(terms, '2020-01-01');
    await close('2020-01');
    expect(await refusal(set(terms, '2020-01-15'))).toBe('month-closed');
    expect(
      await refusal(e.do('entry.reverse', { entryId: entry.id, reason: 'x' }, on('2020-03-11'))),
    ).toBe('month-closed');
    await set(terms, '2020-02-01');
  });
});

test('months are told in turn over the ends of years', () => {
  expect(monthAfter('2019-12')).toBe('2020-01');
  expect(monthAfter('2020-01', -1)).toBe('2019-12');
  expect(monthsBetween('2019-11', '2020-02')).toEqual(['2019-11', '2019-12', '2020-01', '2020-02']);
  expect(monthsBetween('2020-02', '2020-01')).toEqual([]);
});

test('however acts and closes are interleaved, the months add up to the whole and each opens as the one before closed', async () => {
  const step = fc.oneof(
    fc.record({
      kind: fc.constant('sample' as const),
      month: fc.nat(9),
      day: fc.integer({ min: 13, max: 28 }),
    }),
    fc.record({ kind: fc.constant('close' as const), month: fc.nat(9), day: fc.constant(1) }),
  );
  await fc.assert(
    fc.asyncProperty(fc.array(step, { minLength: 20, maxLength: 40 }), async (steps) => {
      e = await new TestEstate().build(2);
      await e.receive(e.vats[0], e.lots[0], 1000, 65, on('2020-01-10'));
      await e.fill(e.casks[0] ?? '', e.vats[0], 200, 65, on('2020-01-12'));
      const closes = new Map<string, string>();
      for (const { kind, month, day } of steps) {
        const m = monthAfter('2020-01', month);
        if (kind === 'sample') await sample(`${m}-${String(day)}`, 0.1);
        else
          await close(m).then(
            () => closes.set(m, canonicalJson(e.records.peek('month-close', m))),
            (error: unknown) => {
              if (!(error instanceof DomainError)) throw error;
            },
          );
      }
      for (const [month, bytes] of closes)
        expect(canonicalJson(e.records.peek('month-close', month))).toBe(bytes);
      const months = e.records.all('month-close').sort((a, b) => (a.id < b.id ? -1 : 1));
      const lock = e.records.peek('account-lock', 'account');
      expect(lock?.through).toBe(months.at(-1)?.id);
      for (const [i, { lines }] of months.entries()) {
        const before = months[i - 1]?.lines ?? [];
        for (const line of lines) {
          const moved = line.movements.reduce((sum, m) => sum + m.ethanolMg, 0);
          expect(line.closingMg).toBe(line.openingMg + moved);
          if (i > 0)
            expect(line.openingMg).toBe(
              before.find((b) => b.accountId === line.accountId)?.closingMg ?? 0,
            );
        }
      }
      // What is closed and what is open come together to all that was posted.
      const posted = (from: string, to: string) =>
        e.records
          .all('posting')
          .filter((p) => p.month >= from && p.month <= to)
          .reduce((sum, p) => sum + p.ethanolMg, 0);
      if (lock) {
        const carried = months.at(-1)?.lines.reduce((sum, line) => sum + line.closingMg, 0) ?? 0;
        expect(carried).toBe(posted('0000-01', lock.through));
        expect(e.records.all('posting').every((p) => p.month >= p.at.slice(0, 7))).toBe(true);
      }
      expect((await verifyInMemory(e.journal.entries, e.records)).failures).toEqual([]);
    }),
    { numRuns: 40, seed: 20260301 },
  );
});
