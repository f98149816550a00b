import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import type { Act, ActResult } from '@rundlet/contracts';
import { v7 } from 'uuid';
import { RefusedError, UnreachableError } from './client.ts';
import type { KeptBytes } from './door.ts';
import { Outbox } from './outbox.ts';
import { bringIn, outboxFromFile, outboxToFile } from './outbox-file.ts';
import { memoryOutbox } from './outbox-memory.ts';

const CASK = '01890000-0000-7000-8000-000000000001';
const NOW = '2026-03-01T09:30:00.000Z';
const note = (text: string): Act => ({
  id: v7(),
  kind: 'cask.note',
  happenedAt: NOW,
  body: { caskId: CASK, text },
});
const textOf = (act: Act): string => (act as { body: { text: string } }).body.text;
const applied = (act: Act): ActResult => ({
  id: act.id,
  status: 'applied',
  entry: null,
  problem: null,
});
const problem = (status: number) => ({ type: 'about:blank', title: 'No.', status });

/** A server that applies each id once, as the contracts promise, and can be told to misbehave. */
function serverWith(answer: (acts: readonly Act[]) => 'ok' | 'no-network' | 'answer-lost') {
  const journal: Act[] = [];
  const send = async (acts: readonly Act[]): Promise<ActResult[]> => {
    const mood = answer(acts);
    if (mood === 'no-network') throw new UnreachableError('no network');
    const results = acts.map((act): ActResult => {
      if (journal.some((known) => known.id === act.id))
        return { ...applied(act), status: 'already-applied' };
      journal.push(act);
      return applied(act);
    });
    if (mood === 'answer-lost') throw new UnreachableError('the answer was lost');
    return results;
  };
  const held = new Map<string, string>();
  const upload = async ({ sha256, bytes }: KeptBytes): Promise<void> => {
    held.set(sha256, new TextDecoder().decode(await bytes.arrayBuffer()));
  };
  return { journal, held, send, upload };
}

describe('adding', () => {
  test('the same id twice is one item, marked as made offline', async () => {
    const storage = memoryOutbox();
    const outbox = new Outbox({ storage, now: () => NOW, send: async () => [] });
    const act = note('a');
    const first = await outbox.add(act, 'Note');
    const second = await outbox.add(act, 'Note again');
    expect(second).toEqual(first);
    expect(await storage.all()).toHaveLength(1);
    expect(first.act.offline).toBe(true);
  });
});

describe('draining', () => {
  test('any schedule of lost requests, lost answers and restarts applies every act once, in order', async () => {
    await fc.assert(
      fc.asyncProperty(
        fc.integer({ min: 1, max: 40 }),
        fc.integer({ min: 1, max: 7 }),
        fc.array(fc.constantFrom('ok', 'no-network', 'answer-lost'), { maxLength: 60 }),
        async (count, batchSize, moods) => {
          const left = [...moods];
          const server = serverWith(() => left.shift() ?? 'ok');
          const storage = memoryOutbox();
          const make = () => new Outbox({ storage, now: () => NOW, send: server.send, batchSize });
          for (let i = 0; i < count; i++) {
            await make().add(note(String(i)), `Note ${String(i)}`);
            if (i % 3 === 0) await make().drain();
          }
          while ((await make().drain()).stop !== 'empty');
          expect(server.journal.map(textOf)).toEqual(
            Array.from({ length: count }, (_, i) => String(i)),
          );
          expect((await storage.all()).every((item) => item.state === 'sent')).toBe(true);
        },
      ),
      { numRuns: 300 },
    );
  });

  test('held and refused acts are parked with the reason and hold nobody up', async () => {
    const storage = memoryOutbox();
    const outbox = new Outbox({
      storage,
      now: () => NOW,
      send: async (acts) =>
        acts.map((act) =>
          textOf(act) === 'held'
            ? { ...applied(act), status: 'held', problem: problem(409) }
            : textOf(act) === 'bad'
              ? { ...applied(act), status: 'refused', problem: problem(422) }
              : applied(act),
        ),
    });
    for (const text of ['held', 'bad', 'good']) await outbox.add(note(text), text);
    expect(await outbox.drain()).toEqual({ stop: 'empty', applied: 1, held: 1, refused: 1 });
    expect((await storage.all()).map((item) => [item.words, item.state])).toEqual([
      ['held', 'held'],
      ['bad', 'needs-attention'],
      ['good', 'sent'],
    ]);
    expect((await storage.all())[1]?.problem?.status).toBe(422);
  });

  test('when a whole request is refused, only the act at fault is parked', async () => {
    const storage = memoryOutbox();
    const outbox = new Outbox({
      storage,
      now: () => NOW,
      send: async (acts) => {
        if (acts.some((act) => textOf(act) === 'malformed')) throw new RefusedError(problem(400));
        return acts.map(applied);
      },
    });
    for (const text of ['a', 'malformed', 'b']) await outbox.add(note(text), text);
    expect((await outbox.drain()).stop).toBe('empty');
    expect((await storage.all()).map((item) => item.state)).toEqual([
      'sent',
      'needs-attention',
      'sent',
    ]);
  });

  test.each([
    [401, 'sign-in-needed'],
    [409, 'try-later'],
    [429, 'try-later'],
    [500, 'try-later'],
  ] as const)('status %i stops it as %s and keeps everything', async (status, stop) => {
    const storage = memoryOutbox();
    const outbox = new Outbox({
      storage,
      now: () => NOW,
      send: async () => {
        throw new RefusedError(problem(status));
      },
    });
    await outbox.add(note('a'), 'a');
    expect((await outbox.drain()).stop).toBe(stop);
    expect((await storage.all())[0]).toMatchObject({ state: 'waiting', tries: 1 });
  });

  test('a server that answers for nothing ends the drain', async () => {
    const storage = memoryOutbox();
    const outbox = new Outbox({ storage, now: () => NOW, send: async () => [] });
    await outbox.add(note('a'), 'a');
    expect((await outbox.drain()).stop).toBe('try-later');
    expect((await storage.all())[0]?.state).toBe('waiting');
  });

  test('a fault that is no answer of a server comes out, and the queue stays', async () => {
    const storage = memoryOutbox();
    const send = async () => {
      throw new TypeError('broken answer');
    };
    const outbox = new Outbox({ storage, now: () => NOW, send });
    await outbox.add(note('a'), 'a');
    await expect(outbox.drain()).rejects.toThrow('broken answer');
    expect((await storage.all())[0]?.state).toBe('waiting');
  });

  test('a parked act goes out again after retry', async () => {
    let refuse = true;
    const storage = memoryOutbox();
    const outbox = new Outbox({
      storage,
      now: () => NOW,
      send: async (acts) =>
        acts.map((act) =>
          refuse ? { ...applied(act), status: 'refused', problem: problem(422) } : applied(act),
        ),
    });
    const { id } = await outbox.add(note('a'), 'a');
    await outbox.drain();
    refuse = false;
    await outbox.retry(id);
    await outbox.drain();
    expect((await storage.all())[0]?.state).toBe('sent');
  });
});

describe('several people on one device', () => {
  const ada = { id: 'a', name: 'Ada' };
  const ben = { id: 'b', name: 'Ben' };

  test('what one made waits for them, unless another takes it on', async () => {
    const storage = memoryOutbox();
    const server = serverWith(() => 'ok');
    const outboxOf = (person: typeof ada) =>
      new Outbox({ storage, now: () => NOW, send: server.send, sender: () => person });
    const { id } = await outboxOf(ada).add(note('by Ada'), 'Note');
    await outboxOf(ben).add(note('by Ben'), 'Note');
    expect(await outboxOf(ben).drain()).toMatchObject({ stop: 'empty', applied: 1 });
    expect(server.journal.map(textOf)).toEqual(['by Ben']);
    await outboxOf(ben).adopt(id);
    await outboxOf(ben).drain();
    expect(server.journal.map(textOf)).toEqual(['by Ben', 'by Ada']);
  });

  test('what the server held is settled on the device once it was let through', async () => {
    let open = false;
    const storage = memoryOutbox();
    const outbox = new Outbox({
      storage,
      now: () => NOW,
      send: async (acts) =>
        acts.map((act) => ({
          ...applied(act),
          ...(open
            ? { status: 'already-applied' as const }
            : { status: 'held' as const, problem: problem(409) }),
        })),
    });
    await outbox.add(note('a'), 'a');
    await outbox.drain();
    await outbox.askAboutHeld();
    expect((await storage.all())[0]?.state).toBe('held');
    open = true;
    await outbox.askAboutHeld();
    expect((await storage.all())[0]?.state).toBe('sent');
  });
});

test('the file holds what was not applied and reads back to the same acts', async () => {
  const storage = memoryOutbox();
  const outbox = new Outbox({ storage, now: () => NOW, send: async (acts) => acts.map(applied) });
  await outbox.add(note('sent'), 'sent');
  await outbox.drain();
  const waiting = note('waiting');
  await outbox.add(waiting, 'waiting');
  const file = await outboxToFile(await storage.all(), { device: 'web-1', madeAt: NOW });
  expect(outboxFromFile(file).items.map((item) => item.act)).toEqual([
    { ...waiting, offline: true },
  ]);
  // Brought in elsewhere, and once more by the device itself: booked once.
  const server = serverWith(() => 'ok');
  const results = await bringIn(outboxFromFile(file), server);
  expect(results.map(({ status }) => status)).toEqual(['applied']);
  expect((await bringIn(outboxFromFile(file), server))[0]?.status).toBe('already-applied');
  expect(server.journal).toHaveLength(1);
});

describe('attachments', () => {
  const HASH = '9f86d081884c7d659a2feaa0c55ad015a3bf4f1b2b0b822cd15d6c15b0f00a08';
  const sheet: KeptBytes = { sha256: HASH, bytes: new Blob(['test']) };

  test('are handed in before their act, once, and kept on the device until the act is applied', async () => {
    const moods = ['no-network', 'answer-lost', 'ok'] as const;
    let turn = 0;
    const server = serverWith(() => {
      expect(server.held.has(HASH)).toBe(true);
      return moods[turn++] ?? 'ok';
    });
    let uploads = 0;
    const storage = memoryOutbox();
    const outbox = new Outbox({
      storage,
      now: () => NOW,
      send: server.send,
      upload: async (file) => {
        uploads++;
        await server.upload(file);
      },
    });
    await outbox.add(note('a gauge sheet'), 'Note', [sheet]);
    for (const expected of ['unreachable', 'unreachable', 'empty']) {
      expect((await storage.all())[0]?.files).toEqual([sheet]);
      expect((await outbox.drain()).stop).toBe(expected);
    }
    expect(server.held.get(HASH)).toBe('test');
    expect(uploads).toBe(1);
    expect((await storage.all())[0]).toMatchObject({ state: 'sent', files: [] });
  });

  test('one that is refused parks its own act; tried again, its bytes go out again', async () => {
    let accepts = false;
    const server = serverWith(() => 'ok');
    const storage = memoryOutbox();
    const outbox = new Outbox({
      storage,
      now: () => NOW,
      send: server.send,
      upload: async () => {
        if (!accepts) throw new RefusedError(problem(415));
      },
    });
    const parked = await outbox.add(note('with a film'), 'Note', [sheet]);
    await outbox.add(note('without'), 'Note');
    await outbox.drain();
    expect((await storage.all()).map((item) => item.state)).toEqual(['needs-attention', 'sent']);
    accepts = true;
    await outbox.retry(parked.id);
    await outbox.drain();
    expect(server.journal.map(textOf)).toEqual(['without', 'with a film']);
  });

  test('travel in the file a device saves', async () => {
    const storage = memoryOutbox();
    const outbox = new Outbox({ storage, now: () => NOW, send: async () => [] });
    await outbox.add(note('waiting'), 'Note', [sheet]);
    const file = await outboxToFile(await storage.all(), { device: 'web-1', madeAt: NOW });
    // RFC 4648 base64 of the four bytes.
    expect(outboxFromFile(file).items[0]?.files).toEqual([{ sha256: HASH, base64: 'dGVzdA==' }]);
    const server = serverWith(() => 'ok');
    await bringIn(outboxFromFile(file), server);
    expect(server.held.get(HASH)).toBe('test');
  });
});
