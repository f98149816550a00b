import { beforeAll, describe, expect, test } from 'vitest';
import { volumeOfLiquid } from '@rundlet/alcoholometry';
import { Act } from '@rundlet/contracts';
import {
  canonicalJson,
  DomainError,
  ethanolMg,
  litresPureAlcoholOfMg,
  MemoryJournal,
  MemoryRecords,
  NO_FORECAST,
  submitAct,
} from '@rundlet/domain';
import { verifyInMemory } from '../tests/support/memory-estate.ts';
import { estateHistory, type HistoryOptions } from './history.ts';
import type { World } from './world.ts';

const TODAY = '2026-11-25';
const small: HistoryOptions = { seed: 'test', today: TODAY, casks: 150 };

function told(options: HistoryOptions): { acts: Act[]; world: World; csv: string[] } {
  const history = estateHistory(options);
  const acts = [...history.acts].flat();
  return { acts, world: history.world, csv: [...history.loggerFiles()].map((file) => file.csv) };
}

describe('one history', () => {
  let acts: Act[];
  let world: World;
  beforeAll(() => {
    ({ acts, world } = told({ seed: 'harrow', today: TODAY, casks: 600 }));
  }, 120_000);

  test('every act is valid, has an id of its own made when it happened, and comes in the order of time', () => {
    const ids = new Set<string>();
    let last = '';
    for (const act of acts) {
      const parsed = Act.safeParse(act);
      if (!parsed.success) throw new Error(`${act.kind}: ${parsed.error.message}`);
      ids.add(act.id);
      // RFC 9562, 5.7: the first 48 bits of a UUIDv7 are the milliseconds since 1970; its version digit is 7.
      expect(parseInt(act.id.replace('-', '').slice(0, 12), 16)).toBe(Date.parse(act.happenedAt));
      expect(act.id.charAt(14)).toBe('7');
      expect(act.happenedAt >= last).toBe(true);
      last = act.happenedAt;
    }
    expect(ids.size).toBe(acts.length);
    expect(last.slice(0, 10) < TODAY).toBe(true);
  });

  test('the estate is what a person is to find: casks lying, empty and waiting, spirit in a receiver, a count begun', () => {
    const filled = [...world.fillings()];
    expect(world.casks).toHaveLength(600);
    expect(filled.length).toBeGreaterThan(520);
    const waiting = world.casks.filter((c) => c.filling === null && c.slot.zone.code === 'SALT-Y');
    expect(waiting.length).toBeGreaterThanOrEqual(27);
    const receiver = volumeOfLiquid(world.vat('receiver-1').truth);
    expect(receiver.strengthPercentVol).toBeGreaterThan(68.5);
    expect(receiver.bulkLitresAt20C).toBeGreaterThan(3000);
    const kinds = new Set(acts.map((act) => act.kind));
    for (const kind of [
      'stocktake.open',
      'cask.re-rack',
      'cask.top-up',
      'plan.complete',
      'gauge.judge',
      'cask.change-owner',
    ] as const)
      expect(kinds, kind).toContain(kind);
    expect(new Set(filled.map((f) => f.account)).size).toBe(3);
    expect(new Set(filled.map((f) => f.cask.made.cooperage.kind)).size).toBeGreaterThanOrEqual(6);
  });

  test('ethanol is conserved in the truth behind the readings, to 1e-9', () => {
    const { receivedKg, ...gone } = world.ledger;
    let left = 0;
    for (const filling of world.fillings()) left += filling.contents.ethanolKg;
    for (const vat of world.vats.values()) left += vat.truth.ethanolKg;
    const accounted = Object.values(gone).reduce((sum, kg) => sum + kg, left);
    expect(Math.abs(accounted / receivedKg - 1)).toBeLessThan(1e-9);
    for (const kg of Object.values(gone)) expect(kg).toBeGreaterThan(0);
  });

  test('the damp store loses about 2 % a year and strength, the dry loft more, and gains strength; small casks lose faster (common practice, no published source)', () => {
    const rates = (zone: string, small: boolean) => {
      const perYear: { loss: number; strength: number }[] = [];
      for (const { cask, contents, generation } of world.fillings()) {
        const years = (contents.day - contents.filledDay) / 365.25;
        if (cask.slot.zone.code !== zone || generation > 0 || years < 3 || contents.leak) continue;
        if (cask.made.cooperage.nominalLitres < 130 !== small) continue;
        const now = volumeOfLiquid(contents);
        const fill = cask.made.trueCapacityLitres * 0.972;
        perYear.push({
          loss: (100 * (1 - now.bulkLitresAt20C / fill)) / years,
          strength: (now.strengthPercentVol - 62.5) / years,
        });
      }
      const mean = (of: (x: { loss: number; strength: number }) => number) =>
        perYear.reduce((sum, x) => sum + of(x), 0) / perYear.length;
      return { loss: mean((x) => x.loss), strength: mean((x) => x.strength) };
    };
    const quay = rates('SALT-Q', false);
    const loft = rates('ROPE-H', false);
    expect(quay.loss).toBeGreaterThan(1.4);
    expect(quay.loss).toBeLessThan(2.6);
    expect(quay.strength).toBeLessThan(-0.2);
    expect(loft.loss).toBeGreaterThan(3.5);
    expect(loft.strength).toBeGreaterThan(0.1);
    expect(rates('ROPE-H', true).loss).toBeGreaterThan(1.2 * loft.loss);
  });

  test(
    'the domain takes every act, and the books it makes of them verify',
    { timeout: 60_000 },
    async () => {
      const months: {
        month: string;
        account: string;
        accountId: string;
        booked: number;
        held: number;
      }[] = [];
      const lockedBytes = new Map<string, string>();
      const { journal, records } = await folded(acts, (month, state) => {
        for (const close of state.all('month-close'))
          if (!lockedBytes.has(close.id)) lockedBytes.set(close.id, canonicalJson(close));
        for (const account of state.all('account'))
          months.push({
            month,
            account: account.code,
            accountId: account.id,
            ...balanceOf(state, account.id),
          });
      });
      // Twelve years, month by month and account by account: what the ledger says is what casks and vats hold.
      expect(new Set(months.map((m) => m.month)).size).toBeGreaterThan(12 * 12 - 6);
      expect(new Set(months.map((m) => m.account)).size).toBeGreaterThan(1);
      const worst = Math.max(...months.map((m) => Math.abs(m.booked - m.held)));
      expect(worst).toBeLessThan(0.001);
      expect(Math.max(...months.map((m) => m.held))).toBeGreaterThan(10_000);
      // So do the months as they were closed, whose bytes nothing changed since.
      const closes = records.all('month-close');
      expect(closes.length).toBeGreaterThan(12 * 12 - 6);
      for (const close of closes) {
        expect(canonicalJson(close)).toBe(lockedBytes.get(close.id));
        for (const { month, account, accountId, held } of months) {
          if (month !== close.id) continue;
          const carried = close.lines.reduce(
            (sum, line) => sum + (line.accountId === accountId ? line.closingMg : 0),
            0,
          );
          expect(
            Math.abs(litresPureAlcoholOfMg(carried) - held),
            `${month} of ${account}`,
          ).toBeLessThan(0.001);
        }
      }
      const report = await verifyInMemory(journal.entries, records);
      expect(report.failures).toEqual([]);
      const maturing = records.all('filling').filter((f) => f.status === 'maturing');
      expect(maturing.length).toBe([...world.fillings()].length);
      // Marrying and topping-up have mixed spirit lots in some casks.
      const lots = maturing.map((f) => Object.keys(f.content.ethanolMgByLot).length);
      expect(lots.filter((n) => n > 1).length).toBeGreaterThan(20);
      expect(new Set(maturing.map((f) => f.fillNumber))).toEqual(new Set([1, 2, 3, 4]));
      expect(records.all('blend').length).toBeGreaterThanOrEqual(8);
    },
  );
});

/** Litres of pure alcohol of an account under duty suspension: by its ledger lines, and by the vessels that are its own. */
function balanceOf(state: MemoryRecords, accountId: string): { booked: number; held: number } {
  let booked = 0;
  for (const line of state.all('posting'))
    if (line.accountId === accountId && line.dutyStatus === 'suspended') booked += line.ethanolMg;
  let held = 0;
  for (const kind of ['vat', 'filling'] as const)
    for (const vessel of state.all(kind))
      if (vessel.accountId === accountId && vessel.dutyStatus === 'suspended')
        held += ethanolMg(vessel.content);
  return { booked: litresPureAlcoholOfMg(booked), held: litresPureAlcoholOfMg(held) };
}

/** The state the domain makes of a history. @throws Error naming the first act it refuses */
async function folded(
  acts: readonly Act[],
  atEndOfMonth: (month: string, state: MemoryRecords) => void = () => undefined,
) {
  const journal = new MemoryJournal();
  const records = new MemoryRecords();
  const receivedAt = `${TODAY}T12:00:00.000Z`;
  for (const [i, act] of acts.entries()) {
    const before = acts[i - 1]?.happenedAt.slice(0, 7);
    if (before !== undefined && before !== act.happenedAt.slice(0, 7))
      atEndOfMonth(before, records);
    try {
      await submitAct(act, {
        actorId: 'harrow',
        receivedAt,
        journal,
        records,
        forecast: NO_FORECAST,
      });
    } catch (error) {
      if (!(error instanceof DomainError)) throw error;
      throw new Error(`${act.kind} of ${act.happenedAt}: ${error.code}, ${error.message}`, {
        cause: error,
      });
    }
  }
  return { journal, records };
}

test.each([
  { seed: 'a', casks: 60 },
  { seed: 'b', casks: 61 },
  { seed: 'c', casks: 130 },
  { seed: 'd', casks: 300 },
])(
  'the domain takes every act of $casks casks with seed $seed',
  { timeout: 60_000 },
  async (size) => {
    const { acts, world } = told({ ...size, today: TODAY });
    const { records } = await folded(acts);
    expect(records.all('cask').length).toBe(world.casks.length);
  },
);

test(
  'the same seed, day and size tell the same history; another seed tells another',
  { timeout: 60_000 },
  () => {
    const first = told(small);
    const again = told(small);
    expect(JSON.stringify(again.acts)).toBe(JSON.stringify(first.acts));
    expect(again.csv).toEqual(first.csv);
    const other = told({ ...small, seed: 'other' });
    expect(other.acts[0]?.id).not.toBe(first.acts[0]?.id);
    expect(JSON.stringify(other.acts)).not.toBe(JSON.stringify(first.acts));
  },
);

test.each(['2026-01-10', '2027-04-02', '2028-08-15'])(
  'a small history is valid and ends before any day, like %s',
  { timeout: 60_000 },
  (today) => {
    const { acts, world } = told({ ...small, casks: 60, today });
    for (const act of acts) expect(Act.safeParse(act).error, act.kind).toBeUndefined();
    expect((acts.at(-1)?.happenedAt ?? today) < today).toBe(true);
    expect(volumeOfLiquid(world.vat('receiver-1').truth).bulkLitresAt20C).toBeGreaterThan(500);
  },
);

test('logger files have hourly rows, holes, a stuck week and the wall clock’s doubled hour', () => {
  const { csv } = told(small);
  expect(csv).toHaveLength(5);
  for (const text of csv) {
    const rows = text.trimEnd().split('\n').slice(1);
    expect(rows.length).toBeGreaterThan(3 * 8700);
    const days = new Set(rows.map((row) => row.slice(0, 10)));
    const first = Date.parse(rows[0]?.slice(0, 10) ?? '') / 86_400_000;
    const last = Date.parse(rows.at(-1)?.slice(0, 10) ?? '') / 86_400_000;
    expect(days.size).toBeLessThan(last - first + 1);
  }
  const stuckHours = (text: string): number => {
    let longest = 0;
    let run = 0;
    let before = '';
    for (const row of text.split('\n')) {
      const reading = row.slice(row.indexOf(',') + 1);
      run = reading === before ? run + 1 : 0;
      before = reading;
      longest = Math.max(longest, run);
    }
    return longest;
  };
  expect(stuckHours(csv[1] ?? '')).toBeGreaterThan(150);
  const times = (csv[4] ?? '').split('\n').map((row) => row.split(',')[0]);
  expect(new Set(times).size).toBeLessThan(times.length);
});

test('an estate of no size is refused with the sizes that are possible', () => {
  expect(() => estateHistory({ ...small, casks: 3 })).toThrow('60 to 2000000');
});
