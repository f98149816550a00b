import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { api } from '@rundlet/contracts';
import { GENESIS_HASH } from '@rundlet/domain';
import { aText, saying } from '../support/matchers.ts';
import { databases } from '../support/database.ts';
import {
  act,
  doActs,
  layDownSmallEstate,
  newId,
  type SmallEstate,
} from '../support/small-estate.ts';
import { problemOf, startServer, type TestServer } from '../support/server.ts';

describe.each([...databases, 'memory'] as const)('the journal on %s', (kind) => {
  let server: TestServer;
  let estate: SmallEstate;
  let keeper: Awaited<ReturnType<TestServer['as']>>;
  beforeAll(async () => {
    server = await startServer(kind);
    keeper = await server.as('keep');
    estate = await layDownSmallEstate(keeper);
  });
  afterAll(() => server.stop());

  const note = (text: string, more = {}) =>
    act('cask.note', { caskId: estate.caskIds[0] ?? '', text }, more);

  test('an act is applied once, however often it is sent', async () => {
    const sent = note('hoop loose');
    const first = await keeper.call(api.journal.submit, { body: sent });
    const again = await keeper.call(api.journal.submit, { body: sent });
    expect([first.status, again.status]).toEqual(['applied', 'already-applied']);
    expect(again.entry).toEqual(first.entry);
    const other = await problemOf(
      keeper.call(api.journal.submit, {
        body: {
          ...sent,
          body: { caskId: estate.caskIds[0] ?? '', text: 'something else' },
        },
      }),
    );
    expect(other).toMatchObject({ status: 409, type: '/problems/act-id-reused' });
  });

  test('acts sent all at once each get their own entry in one unbroken chain', async () => {
    const notes = Array.from({ length: 60 }, (_, i) => note(`note ${String(i)}`));
    const results = await Promise.all(
      notes.map((body) => keeper.call(api.journal.submit, { body })),
    );
    expect(results.every((r) => r.status === 'applied')).toBe(true);
    const ids: string[] = [];
    let after: string | undefined;
    do {
      const page = await keeper.call(api.journal.list, {
        query: { limit: 7, ...(after ? { after } : {}) },
      });
      ids.push(...page.rows.map((r) => r.id));
      after = page.next ?? undefined;
    } while (after !== undefined);
    expect(new Set(ids).size).toBe(ids.length);
    let previousHash = GENESIS_HASH;
    for (const [i, id] of ids.reverse().entries()) {
      const entry = await keeper.call(api.journal.entry, { params: { id } });
      expect(entry.seq).toBe(i + 1);
      expect(entry.previousHash).toBe(previousHash);
      previousHash = entry.hash;
    }
  });

  test('a refused act says what is wrong at the field, and changes nothing', async () => {
    const before = await keeper.call(api.journal.list, { query: { limit: 1 } });
    const problem = await problemOf(
      keeper.call(api.journal.submit, {
        body: act('cask.fill', {
          caskId: estate.caskIds[0] ?? '',
          fillingId: newId(),
          vatId: estate.vatId,
          readings: { method: 'declared', bulkLitresAt20C: 200, strengthPercentVol: 63.5 },
          positionId: null,
        }),
      }),
    );
    expect(problem).toMatchObject({
      status: 409,
      type: '/problems/cask-already-filled',
      instance: '/api/acts',
      errors: [{ pointer: '#/body/caskId' }],
    });
    expect(await keeper.call(api.journal.list, { query: { limit: 1 } })).toEqual(before);
  });

  test('an act that breaks its contract is refused field by field', async () => {
    const sent = act('cask.gauge', {
      caskId: estate.caskIds[0] ?? '',
      readings: { method: 'declared', bulkLitresAt20C: -3, strengthPercentVol: 400 },
    });
    const problem = await problemOf(keeper.call(api.journal.submit, { body: sent }));
    expect(problem.status).toBe(400);
    expect(problem.errors?.map((e) => e.pointer).sort()).toEqual([
      '#/body/body/readings/bulkLitresAt20C',
      '#/body/body/readings/strengthPercentVol',
    ]);
    expect(problem.detail).toContain('at most 100 % vol');
  });

  test('in a batch each act stands for itself; one from an outbox that is refused is kept for a keeper', async () => {
    const missing = newId();
    const { results } = await keeper.call(api.journal.submitMany, {
      body: {
        acts: [
          note('first'),
          act('cask.note', { caskId: missing, text: 'refused' }),
          act('cask.note', { caskId: missing, text: 'kept' }, { offline: true }),
          { ...note('broken'), body: { text: 5 } },
          note('last'),
        ],
      },
    });
    expect(results.map((r) => r.status)).toEqual([
      'applied',
      'refused',
      'held',
      'refused',
      'applied',
    ]);
    expect(results[1]?.problem).toMatchObject({ status: 404, type: '/problems/record-not-found' });
    expect(results[3]?.problem?.errors?.[0]?.pointer).toMatch('#/body/acts/3/body');
    const held = await keeper.call(api.journal.held);
    expect(held.rows).toMatchObject([
      {
        held: { id: results[2]?.id, problem: { code: 'record-not-found' } },
      },
    ]);
    expect(held.rows[0]?.refusalNow).toMatch(/There is no/);

    const [settled] = await doActs(keeper, [
      act('held.settle', {
        heldActId: held.rows[0]?.held.id ?? '',
        verdict: 'discard',
        reason: 'no such cask',
      }),
    ]);
    expect(settled?.status).toBe('applied');
    expect((await keeper.call(api.journal.held)).rows).toEqual([]);
    expect(
      (await keeper.call(api.journal.held, { query: { status: 'discarded' } })).rows,
    ).toHaveLength(1);
  });

  test('a batch with an act that has no id is refused whole', async () => {
    const problem = await problemOf(
      keeper.call(api.journal.submitMany, {
        body: { acts: [note('good'), { kind: 'cask.note' }] },
      }),
    );
    expect(problem.errors).toEqual([{ pointer: '#/body/acts/1/id', detail: aText }]);
  });

  test('a rehearsal tells the outcome and writes nothing', async () => {
    const before = await keeper.call(api.journal.list, { query: { limit: 1 } });
    const gauge = act('cask.gauge', {
      caskId: estate.caskIds[0] ?? '',
      readings: { method: 'declared', bulkLitresAt20C: 190, strengthPercentVol: 62 },
    });
    const { outcome } = await keeper.call(api.journal.rehearse, { body: gauge });
    expect(outcome).toMatchObject({ figures: { bulkLitresAt20C: 190, strengthPercentVol: 62 } });
    expect(await keeper.call(api.journal.list, { query: { limit: 1 } })).toEqual(before);
    expect(
      (
        await problemOf(
          keeper.call(api.journal.rehearse, {
            body: act('cask.note', { caskId: newId(), text: 'x' }),
          }),
        )
      ).status,
    ).toBe(404);
  });

  test('an act needs its own role', async () => {
    const reader = await server.as('read');
    const operative = await server.as('warehouse');
    expect((await problemOf(reader.call(api.journal.submit, { body: note('no') }))).status).toBe(
      403,
    );
    const hold = act('cask.hold', { caskId: estate.caskIds[0] ?? '', reason: 'for tasting' });
    expect(await problemOf(operative.call(api.journal.submit, { body: hold }))).toMatchObject({
      status: 403,
      detail: saying('"blend"'),
    });
    const { results } = await operative.call(api.journal.submitMany, {
      body: { acts: [hold, note('yes')] },
    });
    expect(results.map((r) => r.status)).toEqual(['refused', 'applied']);
  });

  test('a reversal is linked to what it reverses, in words', async () => {
    const [moved] = await doActs(keeper, [
      act(
        'cask.move',
        { caskId: estate.caskIds[0] ?? '', positionId: estate.positionIds.at(-1) ?? '' },
        { happenedAt: '2026-03-02T09:00:00.000Z' },
      ),
    ]);
    const id = moved?.id ?? '';
    const [reversed] = await doActs(keeper, [
      act(
        'entry.reverse',
        { entryId: id, reason: 'wrong cask' },
        { happenedAt: '2026-03-02T10:00:00.000Z' },
      ),
    ]);
    const { rows } = await keeper.call(api.journal.list, {
      query: { subject: `cask:${estate.caskIds[0] ?? ''}`, limit: 5 },
    });
    const line = rows.find((r) => r.id === id);
    expect(line).toMatchObject({ reversedBy: reversed?.id, reversible: false });
    expect(line?.words).toMatch(/^C\w{7} moved from P\w{7} to P\w{7}\.$/);
    expect(line?.actorName).toMatch(/^device \d+$/);
    const again = act('entry.reverse', { entryId: id, reason: 'again' });
    expect((await problemOf(keeper.call(api.journal.submit, { body: again }))).type).toBe(
      '/problems/entry-already-reversed',
    );
    const kinds = await keeper.call(api.journal.list, { query: { kind: 'entry.reverse' } });
    expect(kinds.rows.map((r) => r.id)).toEqual([reversed?.id]);
  });

  test('a key of another list is refused', async () => {
    const problem = await problemOf(keeper.call(api.journal.list, { query: { after: 'WyJhIl0' } }));
    expect(problem).toMatchObject({ status: 400, errors: [{ pointer: '#/query/after' }] });
  });
});
