/**
 * The estate's laws under random work: whatever is filled, moved, gauged, split, vatted, topped up, sampled, released, reversed
 * and sent twice, alcohol is conserved to the milligram, shares stay shares, a cask holds one filling, a position holds
 * what it can, closed months keep their figures, and folding the journal again gives the same bytes.
 */
import { DUTY_STATUSES, type Act } from '@rundlet/contracts';
import fc from 'fast-check';
import { expect, test } from 'vitest';
import { day, TestEstate, verifyInMemory } from '../../../../tests/support/memory-estate.ts';
import { DomainError, ethanolMg, monthAfter } from '../index.ts';

const CASKS = 5;
/** Set RUNDLET_LAW_OPERATIONS to try more; the default keeps the suite quick. */
const OPERATIONS = Number(process.env['RUNDLET_LAW_OPERATIONS'] ?? 6000);
const RUN_LENGTH = 120;

type Step = (e: TestEstate, at: string) => Act | null;
const caskAt = (e: TestEstate, i: number) => e.casks[i % CASKS] ?? '';
const vatAt = (e: TestEstate, i: number) => e.vats[i % e.vats.length] ?? '';
const n = fc.nat({ max: 1000 });

const step: fc.Arbitrary<Step> = fc.oneof(
  fc.tuple(n, n).map(
    ([v, l]): Step =>
      (e, at) =>
        e.make(
          'spirit.receive',
          {
            vatId: vatAt(e, v),
            lotId: e.lots[l % 2] ?? '',
            readings: {
              method: 'declared',
              bulkLitresAt20C: 100 + l,
              strengthPercentVol: 40 + (l % 50),
            },
          },
          at,
        ),
  ),
  fc.tuple(n, n, n).map(
    ([c, v, l]): Step =>
      (e, at) =>
        e.make(
          'cask.fill',
          {
            caskId: caskAt(e, c),
            fillingId: e.newId(),
            vatId: vatAt(e, v),
            positionId: l % 3 === 0 ? (e.positions[l % e.positions.length] ?? null) : null,
            readings: {
              method: 'declared',
              bulkLitresAt20C: 20 + (l % 180),
              strengthPercentVol:
                e.records.peek('vat', vatAt(e, v))?.figures.strengthPercentVol ?? 50,
            },
          },
          at,
        ),
  ),
  fc.tuple(n, n, n).map(
    ([c, l, late]): Step =>
      (e, at) =>
        e.make(
          'cask.gauge',
          {
            caskId: caskAt(e, c),
            readings: {
              method: 'declared',
              bulkLitresAt20C: 5 + (l % 190),
              strengthPercentVol: 35 + (l % 40),
            },
          },
          late % 4 === 0 ? day(30 + (late % 500)) : at,
        ),
  ),
  fc.tuple(n, n).map(
    ([c, p]): Step =>
      (e, at) =>
        e.make(
          'cask.move',
          { caskId: caskAt(e, c), positionId: e.positions[p % e.positions.length] ?? '' },
          at,
        ),
  ),
  fc.tuple(n, n).map(
    ([c, p]): Step =>
      (e, at) =>
        e.make(
          'cask.move',
          { caskId: caskAt(e, c), positionId: e.positions[p % e.positions.length] ?? '' },
          p % 2 === 0 ? at : day(p % 900),
          { offline: true },
        ),
  ),
  fc.tuple(n, n, n).map(
    ([c, v, l]): Step =>
      (e, at) =>
        e.make(
          'cask.top-up',
          {
            caskId: caskAt(e, c),
            source:
              l % 2 ? { kind: 'vat', vatId: vatAt(e, v) } : { kind: 'cask', caskId: caskAt(e, v) },
            bulkLitresAt20C: 1 + (l % 20),
          },
          at,
        ),
  ),
  fc.tuple(n, n).map(
    ([c, l]): Step =>
      (e, at) =>
        e.make(
          'cask.sample',
          {
            caskId: caskAt(e, c),
            sampleId: e.newId(),
            code: `S${e.newId().slice(-8).toUpperCase()}`,
            bulkLitresAt20C: 0.1 + (l % 5) / 10,
            purpose: 'nosing',
          },
          at,
        ),
  ),
  fc.tuple(n, n, n).map(
    ([c, v, l]): Step =>
      (e, at) =>
        e.make(
          'cask.disgorge',
          {
            caskId: caskAt(e, c),
            vatId: vatAt(e, v),
            planId: null,
            bulkLitresAt20C: l % 2 ? null : 1 + (l % 50),
            readings:
              l % 3
                ? null
                : { method: 'declared', bulkLitresAt20C: 60 + (l % 100), strengthPercentVol: 45 },
          },
          at,
        ),
  ),
  fc.tuple(n, n).map(
    ([a, b]): Step =>
      (e, at) =>
        e.make(
          'cask.re-rack',
          {
            fromCaskId: caskAt(e, a),
            toCaskId: caskAt(e, b),
            fillingId: e.newId(),
            readings: null,
            positionId: null,
          },
          at,
        ),
  ),
  fc.tuple(n, n).map(
    ([v, l]): Step =>
      (e, at) =>
        e.make(
          'vat.reduce',
          { vatId: vatAt(e, v), waterLitres: 1 + (l % 100), waterTemperatureC: 12 },
          at,
        ),
  ),
  fc.tuple(n, n).map(
    ([v, l]): Step =>
      (e, at) =>
        e.make(
          'vat.gauge',
          {
            vatId: vatAt(e, v),
            cause: 'vat-difference',
            readings: { method: 'declared', bulkLitresAt20C: l, strengthPercentVol: 30 + (l % 40) },
          },
          at,
        ),
  ),
  fc.tuple(n, n, n).map(
    ([a, b, l]): Step =>
      (e, at) =>
        e.make(
          'vat.transfer',
          { fromVatId: vatAt(e, a), toVatId: vatAt(e, b), bulkLitresAt20C: 1 + (l % 200) },
          at,
        ),
  ),
  fc.tuple(n, n).map(
    ([v, l]): Step =>
      (e, at) =>
        e.make(
          'vat.deliver',
          {
            vatId: vatAt(e, v),
            bulkLitresAt20C: 1 + (l % 100),
            to: 'a customer',
            kind: 'delivered',
          },
          at,
        ),
  ),
  fc.tuple(n).map(
    ([c]): Step =>
      (e, at) =>
        e.make(
          'cask.inspect',
          { caskId: caskAt(e, c), condition: c % 2 ? 'leaking' : 'sound', finding: 'looked' },
          at,
        ),
  ),
  fc.tuple(n, n).map(
    ([c, late]): Step =>
      (e, at) =>
        e.make(
          'cask.release-duty',
          { caskId: caskAt(e, c), reference: 'C88-1' },
          late % 4 === 0 ? day(30 + (late % 500)) : at,
        ),
  ),
  n.map((k): Step => (e, at) => {
    const lock = e.records.peek('account-lock', 'account');
    const month = lock ? monthAfter(lock.through) : day(60 + (k % 60)).slice(0, 7);
    return e.make('account.close-month', { month }, at);
  }),
  n.map((k): Step => (e, at) => {
    const entry = e.journal.entries[e.journal.entries.length - 1 - (k % 12)];
    return entry ? e.make('entry.reverse', { entryId: entry.id, reason: 'a mistake' }, at) : null;
  }),
  n.map(
    (k): Step =>
      (e) =>
        e.sent[e.sent.length - 1 - (k % 20)] ?? null,
  ),
);

function laws(e: TestEstate): void {
  // What is under suspension is what the account says; what is duty-paid is in no account, and booked all the same.
  for (const status of DUTY_STATUSES) {
    const held = [...e.records.all('vat'), ...e.records.all('filling')].reduce(
      (sum, r) => sum + (r.dutyStatus === status ? ethanolMg(r.content) : 0),
      0,
    );
    const booked = e.records
      .all('posting')
      .reduce((sum, p) => sum + (p.dutyStatus === status ? p.ethanolMg : 0), 0);
    expect(booked).toBe(held);
  }
  const closes = e.records.all('month-close').sort((a, b) => (a.id < b.id ? -1 : 1));
  expect(closes.at(-1)?.id).toBe(e.records.peek('account-lock', 'account')?.through);
  for (const close of closes) {
    const counted = e.records
      .all('posting')
      .reduce(
        (sum, p) => sum + (p.month <= close.id && p.dutyStatus === 'suspended' ? p.ethanolMg : 0),
        0,
      );
    expect(close.lines.reduce((sum, line) => sum + line.closingMg, 0)).toBe(counted);
  }
  const standing = new Map<string, number>();
  for (const cask of e.records.all('cask')) {
    if (cask.positionId) standing.set(cask.positionId, (standing.get(cask.positionId) ?? 0) + 1);
    expect(
      e.records
        .all('filling')
        .filter((f) => f.caskId === cask.id && f.status === 'maturing')
        .map((f) => f.id),
    ).toEqual(cask.fillingId ? [cask.fillingId] : []);
  }
  for (const position of e.records.all('position')) {
    expect(position.occupied).toBe(standing.get(position.id) ?? 0);
    expect(position.occupied).toBeLessThanOrEqual(position.capacity);
  }
  for (const filling of e.records.all('filling')) {
    const shares = Object.values(filling.lotShares);
    if (shares.length > 0)
      expect(Math.abs(shares.reduce((s, v) => s + v, 0) - 1)).toBeLessThan(1e-9);
    expect(Math.min(0, ...shares)).toBe(0);
    expect(filling.content.waterMg).toBeGreaterThanOrEqual(0);
  }
}

test(`${String(OPERATIONS)} random acts keep every law`, async () => {
  let [applied, refused, released] = [0, 0, 0];
  await fc.assert(
    fc.asyncProperty(
      fc.array(step, { minLength: RUN_LENGTH, maxLength: RUN_LENGTH }),
      async (steps) => {
        const e = await new TestEstate().build(CASKS);
        for (const [i, make] of steps.entries()) {
          const act = make(e, day(100 + i));
          if (!act) continue;
          const before = e.journal.entries.length;
          try {
            await e.send(act);
            applied += 1;
            if (act.kind === 'cask.release-duty') released += 1;
          } catch (error) {
            if (!(error instanceof DomainError)) throw error;
            refused += 1;
            expect(e.journal.entries.length).toBe(before);
          }
          laws(e);
        }
        expect((await verifyInMemory(e.journal.entries, e.records)).failures).toEqual([]);
      },
    ),
    { numRuns: Math.ceil(OPERATIONS / RUN_LENGTH), seed: 20260301 },
  );
  expect(applied).toBeGreaterThan(OPERATIONS * 0.3);
  expect(refused).toBeGreaterThan(0);
  expect(released).toBeGreaterThan(OPERATIONS / 1000);
}, 600_000);
