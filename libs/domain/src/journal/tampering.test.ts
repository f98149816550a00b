/**
 * Whoever can write to the database may try to change what was said: one byte of any entry, an entry taken out, put in or
 * exchanged, a state record edited. Every such change must be found and the place named.
 */
import { generateKeyPairSync, sign } from 'node:crypto';
import { RECORD_KINDS, type JournalEntry, type RecordKind } from '@rundlet/contracts';
import { checkpointLetter, signStatement, thumbprint, type Signer } from '@rundlet/statements';
import fc from 'fast-check';
import { beforeAll, describe, expect, test } from 'vitest';
import { day, each, TestEstate, verifyInMemory } from '../../../../tests/support/memory-estate.ts';
import {
  canonicalJson,
  entryHash,
  sha256Hex,
  storedForm,
  verifyJournal,
  type StoredEntry,
} from '../index.ts';

let e: TestEstate;
let entries: readonly StoredEntry[];
interface Stored {
  readonly kind: RecordKind;
  readonly id: string;
  readonly json: string;
}
let records: readonly Stored[];
let letter: string;

function newSigner(): Signer & { x: string } {
  const { privateKey, publicKey } = generateKeyPairSync('ed25519');
  const { x = '' } = publicKey.export({ format: 'jwk' });
  const kid = thumbprint({ kty: 'OKP', crv: 'Ed25519', x });
  return { kid, x, sign: (bytes) => sign(null, bytes, privateKey) };
}

const checkpointOver = (last: JournalEntry | undefined, signer: Signer): string =>
  signStatement(
    {
      says: 'journal-checkpoint',
      estate: 'Harrow Point',
      seq: last?.seq ?? 0,
      hash: last?.hash ?? '',
      at: day(900),
    },
    signer,
  );

beforeAll(async () => {
  e = await new TestEstate().build();
  const [first = '', second = '', third = ''] = e.casks;
  const declared = (litres: number, strength: number) =>
    ({ method: 'declared', bulkLitresAt20C: litres, strengthPercentVol: strength }) as const;
  await e.receive(e.vats[0], e.lots[0], 1000, 70);
  await e.receive(e.vats[0], e.lots[1], 300, 68);
  for (const cask of [first, second, third]) await e.fill(cask, e.vats[0], 200, 69.5);
  await e.do('cask.gauge', { caskId: first, readings: declared(193, 69) }, day(400));
  await e.do(
    'cask.sample',
    { caskId: first, sampleId: e.newId(), code: 'S1', bulkLitresAt20C: 0.5, purpose: 'nose' },
    day(401),
  );
  await e.do('cask.note', { caskId: first, text: 'smells of pears, “very” good: 5 €' }, day(402));
  await e.do('vat.reduce', { vatId: e.vats[0], waterLitres: 50, waterTemperatureC: 12 }, day(403));
  const gauge = await e.do('cask.gauge', { caskId: second, readings: declared(91, 69) }, day(404));
  await e.do('entry.reverse', { entryId: gauge.entry.id, reason: 'misread' }, day(405));
  await e.do(
    'cask.disgorge',
    {
      caskId: third,
      vatId: e.vats[1],
      readings: declared(196, 69),
      bulkLitresAt20C: null,
      planId: null,
    },
    day(500),
  );
  const signer = newSigner();
  await e.send({
    id: e.newId(),
    kind: 'signing-key.announce',
    happenedAt: day(600),
    body: { x: signer.x, follows: null, endorsement: null },
  } as never);
  const statement = checkpointOver(e.journal.entries.at(-1), signer);
  letter = checkpointLetter(statement, signer.kid);
  await e.send({
    id: e.newId(),
    kind: 'checkpoint.sign',
    happenedAt: day(600),
    body: { statement },
  } as never);
  await e.do('vat.deliver', {
    vatId: e.vats[1],
    bulkLitresAt20C: 20,
    to: 'a customer',
    kind: 'delivered',
  });
  entries = e.journal.entries.map(storedForm);
  records = RECORD_KINDS.flatMap((kind) =>
    e.records.all(kind).map((r) => ({ kind, id: r.id, json: canonicalJson(r) })),
  );
});

const verify = (
  changed: readonly StoredEntry[],
  stored: readonly Stored[] = records,
  checkpoints: readonly string[] = [],
) =>
  verifyJournal({
    entries: each([changed]),
    stored: each([stored.map(({ kind, id, json }) => ({ kind, id, hash: sha256Hex(json) }))]),
    lookup: {
      hashOf: async (seq) => changed.find((c) => c.seq === seq)?.hash ?? null,
      seqOf: async (id) => changed.find((c) => c.id === id)?.seq ?? null,
    },
    checkpoints,
  });

/** Another character in the place of this one. */
const otherAt = (text: string, at: number, by: number): string =>
  text.slice(0, at) +
  String.fromCharCode(32 + ((text.charCodeAt(at) - 32 + 1 + (by % 90)) % 94)) +
  text.slice(at + 1);

test('untouched, everything holds, by its own checkpoint and by the one in the drawer', async () => {
  const report = await verify(entries, records, [letter]);
  expect(report.failures).toEqual([]);
  expect(report.checkpoints).toMatchObject({ kept: 1, brought: 1 });
  expect(report.conservation).toMatchObject({ differenceMg: 0, waterDifferenceMg: 0 });
});

describe('one byte', () => {
  const TEXTS = [
    'id',
    'kind',
    'happenedAt',
    'receivedAt',
    'actorId',
    'body',
    'outcome',
    'subjects',
    'previousHash',
    'hash',
  ] as const;

  test('changed in any field of any entry is found, and that entry named first', async () => {
    await fc.assert(
      fc.asyncProperty(
        fc.nat(),
        fc.constantFrom(...TEXTS),
        fc.nat(),
        fc.nat(),
        async (n, field, position, by) => {
          const at = n % entries.length;
          const entry = entries[at] as StoredEntry;
          const text = entry[field];
          const changed = otherAt(text, position % text.length, by);
          fc.pre(changed !== text);
          const report = await verify(entries.with(at, { ...entry, [field]: changed }));
          expect(report.ok).toBe(false);
          expect(report.failures[0]).toMatchObject({ entrySeq: entry.seq });
        },
      ),
      { numRuns: 400, seed: 7 },
    );
  });

  test('put in where a parser would not see it is found too', async () => {
    for (const field of ['body', 'outcome', 'subjects'] as const)
      for (const [at, entry] of entries.entries()) {
        const spaced = { ...entry, [field]: entry[field].replace(/[,}\]]/, ' $&') };
        const report = await verify(entries.with(at, spaced));
        expect(report.failures[0]).toMatchObject({ entrySeq: entry.seq });
      }
  });

  test('of a number or a device is found', async () => {
    for (const [at, entry] of entries.entries()) {
      const renumbered = await verify(entries.with(at, { ...entry, seq: entry.seq + 100 }));
      expect(renumbered.failures[0]).toMatchObject({ entrySeq: entry.seq + 100 });
      const device = await verify(entries.with(at, { ...entry, deviceId: '' }));
      expect(device.failures[0]).toMatchObject({ entrySeq: entry.seq });
    }
  });

  test('changed in any state record is found, and the record named', async () => {
    await fc.assert(
      fc.asyncProperty(fc.nat(), fc.nat(), fc.nat(), async (n, position, by) => {
        const at = n % records.length;
        const record = records[at] as Stored;
        const json = otherAt(record.json, position % record.json.length, by);
        fc.pre(json !== record.json);
        const report = await verify(entries, records.with(at, { ...record, json }));
        expect(report.failures).toHaveLength(1);
        expect(report.failures[0]?.record).toBe(`${record.kind}:${record.id}`);
        expect(report.failures[0]?.entrySeq).not.toBeNull();
      }),
      { numRuns: 150, seed: 8 },
    );
  });
});

describe('a whole entry', () => {
  test('taken out is found at the one that stands in its place, the last by what it left behind', async () => {
    for (const [at, entry] of entries.entries()) {
      const report = await verify(entries.toSpliced(at, 1));
      expect(report.ok, `without ${entry.kind}`).toBe(false);
      if (at < entries.length - 1)
        expect(report.failures[0]).toMatchObject({ entrySeq: entry.seq + 1 });
    }
  });

  test('put in is found, well made or not, wherever it stands', async () => {
    for (const [at, entry] of entries.entries()) {
      const { hash: replaced, ...before } = e.journal.entries[at] as JournalEntry;
      const unsealed: Omit<JournalEntry, 'hash'> = {
        ...before,
        id: e.newId(),
        kind: 'cask.note',
        body: { caskId: e.casks[0], text: 'never written' },
        outcome: {},
        subjects: [],
      };
      const forged = storedForm({ ...unsealed, hash: entryHash(unsealed) });
      expect(forged.hash).not.toBe(replaced);
      const report = await verify(entries.toSpliced(at, 0, forged));
      expect(report.ok).toBe(false);
      expect(report.failures[0]?.entrySeq).toBeGreaterThanOrEqual(entry.seq);
      expect(report.failures[0]?.entrySeq).toBeLessThanOrEqual(entry.seq + 1);
    }
  });

  test('exchanged with its neighbour is found, renumbered or not', async () => {
    for (let at = 0; at < entries.length - 1; at++) {
      const [a, b] = [entries[at] as StoredEntry, entries[at + 1] as StoredEntry];
      const swapped = entries.with(at, b).with(at + 1, a);
      expect((await verify(swapped)).failures[0]?.entrySeq).toBe(b.seq);
      const renumbered = entries.with(at, { ...b, seq: a.seq }).with(at + 1, { ...a, seq: b.seq });
      expect((await verify(renumbered)).failures[0]?.entrySeq).toBe(a.seq);
    }
  });
});

test('a state record taken out or put in is named', async () => {
  for (const [at, record] of records.entries()) {
    const report = await verify(entries, records.toSpliced(at, 1));
    expect(report.failures).toMatchObject([{ record: `${record.kind}:${record.id}` }]);
  }
  const more = { ...(records[0] as Stored), id: 'another' };
  expect((await verify(entries, [...records, more])).failures).toMatchObject([
    { record: `${more.kind}:another`, what: 'this state record comes from no entry' },
  ]);
});

describe('the whole journal written anew', () => {
  /** The same acts on another day, sealed again by somebody who has the program but not the key. */
  async function forgery(): Promise<TestEstate> {
    const other = await new TestEstate().build();
    await other.receive(other.vats[0], other.lots[0], 1100, 70);
    for (const cask of other.casks.slice(0, 6)) await other.fill(cask, other.vats[0], 180, 69.5);
    for (let i = 0; other.journal.entries.length <= entries.length; i++)
      await other.do('cask.note', { caskId: other.casks[0] ?? '', text: String(i) });
    return other;
  }

  test('holds in itself, and is found by the checkpoint in the drawer', async () => {
    const other = await forgery();
    expect((await verifyInMemory(other.journal.entries, other.records)).ok).toBe(true);
    const report = await verifyInMemory(other.journal.entries, other.records, {
      checkpoints: [letter],
    });
    expect(report.failures).toMatchObject([{ record: 'checkpoint 1 brought along' }]);
  });

  test('with a key of its own is found too: the checkpoint in the drawer was signed by another', async () => {
    const other = await forgery();
    const signer = newSigner();
    await other.send({
      id: other.newId(),
      kind: 'signing-key.announce',
      happenedAt: day(900),
      body: { x: signer.x, follows: null, endorsement: null },
    } as never);
    const report = await verifyInMemory(other.journal.entries, other.records, {
      checkpoints: [letter, 'Dear keeper, the sheet is lost.'],
    });
    expect(report.failures.map((f) => f.record)).toEqual([
      'checkpoint 1 brought along',
      'checkpoint 2 brought along',
    ]);
    expect(report.failures[0]?.what).toContain('none of those at hand');
  });

  test('a checkpoint that nobody signed, or a key that its forerunner did not name, is refused', async () => {
    const thief = newSigner();
    const send = (kind: string, body: object) =>
      e.send({ id: e.newId(), kind, happenedAt: day(901), body } as never);
    await expect(
      send('checkpoint.sign', { statement: checkpointOver(e.journal.entries.at(-1), thief) }),
    ).rejects.toMatchObject({ code: 'signature-wrong' });
    const [key] = e.records.all('signing-key');
    const endorsement = signStatement({ says: 'key-succession', keyId: thief.kid }, thief);
    await expect(
      send('signing-key.announce', { x: thief.x, follows: key?.id, endorsement }),
    ).rejects.toMatchObject({ code: 'signature-wrong' });
  });
});
