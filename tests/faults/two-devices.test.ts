/**
 * Two devices work the same casks apart from one another, and what they did reaches the books in any order: requests and
 * answers get lost, the server dies within a batch, old requests come again. Whatever the schedule, the books end as if
 * every act had arrived at once in the order it happened, and every act stands in the journal exactly once.
 */
import { Outbox, memoryOutbox, UnreachableError } from '@rundlet/client';
import { RECORD_KINDS, type Act, type ActResult } from '@rundlet/contracts';
import { MemoryJournal, MemoryRecords, NO_FORECAST, releaseHeld, submitAct } from '@rundlet/domain';
import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { day, TestEstate, testId } from '../support/memory-estate.ts';

const SCHEDULES = 1000;
const CASKS = 5;
const STOCKTAKE = testId(900);
const DEVICES = ['ada', 'ben'] as const;

const base = await layDown();
async function layDown(): Promise<TestEstate> {
  const e = await new TestEstate().build(CASKS);
  await e.receive(e.vats[0], e.lots[0] ?? '', 2000, 63);
  for (const cask of e.casks) await e.fill(cask, e.vats[0], 195, 63);
  await e.do(
    'stocktake.open',
    {
      id: STOCKTAKE,
      code: 'ST-1',
      title: 'Autumn',
      scope: { storeId: e.store, zoneIds: [], rows: [] },
      blind: false,
    },
    day(90),
  );
  return e;
}

/** A server with the estate as it was laid down, its journal and state its own. */
class Server {
  readonly records = new MemoryRecords();
  readonly journal = new MemoryJournal();
  #ids = 5_000_000;

  static async start(): Promise<Server> {
    const server = new Server();
    for (const kind of RECORD_KINDS)
      for (const record of base.records.all(kind)) server.records.put(kind, record);
    for (const entry of base.journal.entries) await server.journal.append(entry, []);
    return server;
  }
  async take(act: Act, actorId: string): Promise<ActResult> {
    const context = {
      actorId,
      receivedAt: day(4000),
      journal: this.journal,
      records: this.records,
      forecast: NO_FORECAST,
    };
    const { status, entry } = await submitAct(act, context);
    if (status === 'applied') await releaseHeld(entry, context, () => testId((this.#ids += 1)));
    return { id: act.id, status, entry: null, problem: null };
  }
}

interface Step {
  readonly device: number;
  readonly cask: number;
  readonly what: 'count' | 'move' | 'gauge' | 'inspect' | 'note';
  readonly number: number;
}
const step: fc.Arbitrary<Step> = fc.record({
  device: fc.nat(1),
  cask: fc.nat(CASKS - 1),
  what: fc.constantFrom('count', 'move', 'move', 'gauge', 'inspect', 'note'),
  number: fc.nat(1000),
});
const MINUTE_MS = 60_000;

/** What the two did, in the order it happened. `possible`: a cask goes only where there is room at that moment. */
function work(steps: readonly Step[], possible: boolean): { device: number; act: Act }[] {
  const stands = base.casks.map((_, i) => base.positions[i] ?? '');
  return steps.map(({ device, cask, what, number }, i) => {
    const caskId = base.casks[cask] ?? '';
    const free = base.positions.filter((p) => !stands.includes(p));
    const to =
      (possible ? free : base.positions)[
        number % (possible ? free.length : base.positions.length)
      ] ?? '';
    const body = {
      count: {
        stocktakeId: STOCKTAKE,
        scanned: 'scan',
        caskId,
        positionId: number % 3 === 0 ? null : number % 3 === 1 ? stands[cask] : to,
        damagedLabel: number % 7 === 0,
      },
      move: { caskId, positionId: to },
      gauge: {
        caskId,
        readings: {
          method: 'declared',
          bulkLitresAt20C: 100 + (number % 95),
          strengthPercentVol: 55 + (number % 8),
        },
      },
      inspect: { caskId, condition: number % 2 ? 'leaking' : 'sound', finding: 'looked' },
      note: { caskId, text: `note ${String(number)}` },
    }[what];
    if (what === 'move') stands[cask] = to;
    const happenedAt = new Date(Date.parse(day(100)) + i * 4 * MINUTE_MS).toISOString();
    return {
      device,
      act: { id: testId(10_000 + i), kind: KIND[what], happenedAt, body, offline: true } as Act,
    };
  });
}
const KIND = {
  count: 'stocktake.count',
  move: 'cask.move',
  gauge: 'cask.gauge',
  inspect: 'cask.inspect',
  note: 'cask.note',
} as const;

interface Turn {
  readonly device: number;
  readonly batchSize: number;
  readonly mood: 'ok' | 'request-lost' | 'answer-lost' | 'dies-within' | 'old-request-again';
  readonly number: number;
}
const turn: fc.Arbitrary<Turn> = fc.record({
  device: fc.nat(1),
  batchSize: fc.integer({ min: 1, max: 6 }),
  mood: fc.constantFrom('ok', 'request-lost', 'answer-lost', 'dies-within', 'old-request-again'),
  number: fc.nat(1000),
});

/** Both devices send what they have by this schedule, and then until nothing waits. */
async function deliver(
  done: readonly { device: number; act: Act }[],
  turns: readonly Turn[],
): Promise<{ server: Server; held: number }> {
  const server = await Server.start();
  const stores = DEVICES.map(() => memoryOutbox());
  const old: { act: Act; device: number }[] = [];
  const outbox = ({ device, batchSize, mood, number }: Turn) =>
    new Outbox({
      storage: stores[device] ?? memoryOutbox(),
      now: () => day(4000),
      batchSize,
      send: async (acts) => {
        if (mood === 'request-lost') throw new UnreachableError('lost');
        const reached = mood === 'dies-within' ? acts.slice(0, number % acts.length) : acts;
        const results: ActResult[] = [];
        for (const act of reached) {
          results.push(await server.take(act, DEVICES[device] ?? ''));
          old.push({ act, device });
        }
        if (mood === 'answer-lost' || mood === 'dies-within') throw new UnreachableError('lost');
        return results;
      },
    });
  const quiet = (device: number): Turn => ({ device, batchSize: 50, mood: 'ok', number: 0 });
  for (const { device, act } of done) await outbox(quiet(device)).add(act, 'work');
  for (const now of turns) {
    const again = old[now.number % old.length];
    if (now.mood === 'old-request-again' && again)
      await server.take(again.act, DEVICES[again.device] ?? '');
    else await sendOneBatch(outbox(now));
  }
  for (const device of [0, 1]) expect((await outbox(quiet(device)).drain()).stop).toBe('empty');
  for (const device of [0, 1]) await outbox(quiet(device)).askAboutHeld();
  const items = (await Promise.all(stores.map((store) => store.all()))).flat();
  expect(items.filter(({ state }) => state !== 'sent' && state !== 'held')).toEqual([]);
  return { server, held: items.filter(({ state }) => state === 'held').length };
}

/** The rest of the queue is left for a later turn, as when the signal goes again. */
async function sendOneBatch(box: Outbox): Promise<void> {
  await box.drain({ batches: 1 });
}

/** The books, without what says in which order the entries came. */
function books({ records }: Server) {
  const bare = (record: object, ...names: string[]) =>
    Object.fromEntries(Object.entries(record).filter(([name]) => !names.includes(name)));
  return {
    casks: records.all('cask').map((r) => bare(r, 'lastEntryId')),
    positions: records.all('position').map((r) => bare(r, 'lastEntryId')),
    fillings: records.all('filling').map((r) => bare(r, 'lastEntryId')),
    lines: records.all('stocktake-line').map((r) => bare(r, 'lastEntryId')),
    gauges: records
      .all('gauge')
      .map((r) => bare(r, 'lastEntryId', 'late', 'bookBefore'))
      .sort((a, b) => (String(a['id']) < String(b['id']) ? -1 : 1)),
    alcoholMg: records.all('posting').reduce((sum, p) => sum + p.ethanolMg, 0),
  };
}

function onceEach(server: Server, done: readonly { act: Act }[]): void {
  const written = server.journal.entries.map((entry) => entry.id);
  expect(new Set(written).size).toBe(written.length);
  expect(done.filter(({ act }) => !written.includes(act.id))).toEqual([]);
}

const steps = fc.array(step, { minLength: 4, maxLength: 18 });
const turns = fc.array(turn, { maxLength: 16 });

describe(`${String(SCHEDULES)} random schedules of two devices`, () => {
  test('work that was possible ends in the same books, with nothing lost or left for a keeper', async () => {
    let [heldOnTheWay, repeated] = [0, 0];
    await fc.assert(
      fc.asyncProperty(steps, turns, async (someSteps, someTurns) => {
        const done = work(someSteps, true);
        const inOrder = await Server.start();
        for (const { device, act } of done) await inOrder.take(act, DEVICES[device] ?? '');
        const { server, held } = await deliver(done, someTurns);
        expect(books(server)).toEqual(books(inOrder));
        expect(held).toBe(0);
        onceEach(server, done);
        heldOnTheWay += server.records.all('held-act').length;
        repeated += someTurns.filter(({ mood }) => mood !== 'ok').length;
      }),
      { numRuns: SCHEDULES, seed: 20260302 },
    );
    // The schedules were such that they could have gone wrong.
    expect(heldOnTheWay).toBeGreaterThan(SCHEDULES / 20);
    expect(repeated).toBeGreaterThan(SCHEDULES);
  }, 120_000);

  test('two claims to one place leave one standing and the other whole in a keeper’s hands', async () => {
    let conflicts = 0;
    await fc.assert(
      fc.asyncProperty(steps, turns, async (someSteps, someTurns) => {
        const done = work(someSteps, false);
        const { server, held } = await deliver(done, someTurns);
        onceEach(server, done);
        const open = server.records.all('held-act').filter(({ status }) => status === 'open');
        expect(open.length).toBe(held);
        conflicts += held;
        for (const one of open) {
          const sent = done.find(({ act }) => act.id === one.id);
          expect(one.act).toEqual(JSON.parse(JSON.stringify(sent?.act)));
          expect(one.problem.code).toBe('position-full');
        }
        for (const position of server.records.all('position')) {
          const standing = server.records
            .all('cask')
            .filter(({ positionId }) => positionId === position.id).length;
          expect(position.occupied).toBe(standing);
          expect(standing).toBeLessThanOrEqual(position.capacity);
        }
        // What is not about a place ends the same, whoever was heard first.
        const inOrder = await Server.start();
        for (const { device, act } of done) await inOrder.take(act, DEVICES[device] ?? '');
        const liquid = (s: Server) =>
          s.records.all('filling').map(({ content, figures }) => ({ content, figures }));
        expect(liquid(server)).toEqual(liquid(inOrder));
        expect(books(server).gauges).toEqual(books(inOrder).gauges);
      }),
      { numRuns: SCHEDULES / 4, seed: 20260303 },
    );
    expect(conflicts).toBeGreaterThan(0);
  }, 120_000);
});
