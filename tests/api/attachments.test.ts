import { createHash } from 'node:crypto';
import { readdir, readFile, rm, stat, utimes, writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import type { Client } from '@rundlet/client';
import { api, type Attachment } from '@rundlet/contracts';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { AttachmentSweep } from '../../apps/server/src/journal/attachment-sweep.ts';
import { verifyDatabase } from '../../apps/server/src/journal/verification.ts';
import { databases } from '../support/database.ts';
import { problemOf, startServer, type TestServer } from '../support/server.ts';
import { act, doActs, layDownSmallEstate, type SmallEstate } from '../support/small-estate.ts';

const bytesOf = (base64: string): Buffer => Buffer.from(base64, 'base64');
/** One transparent pixel: signature, IHDR, IDAT and IEND (W3C PNG, 5.2 and 11.2). */
const PNG = bytesOf(
  'iVBORw0KGgoAAAANSUhEUgAAAAEAAAABCAYAAAAfFcSJAAAADUlEQVR42mNk+M9QDwADhgGAWjR9awAAAABJRU5ErkJggg==',
);
/** Start of image and a JFIF header (ITU-T T.871, 10.1). */
const JPEG = Buffer.from('ffd8ffe000104a46494600010100000100010000ffd9', 'hex');
/** Container and form of RFC 9649, 2.4. */
const WEBP = Buffer.from('524946461a000000574542505650384c0d0000002f0000001007', 'hex');
/** Header of ISO 32000-1, 7.5.2. */
const PDF = Buffer.from('%PDF-1.7\n%âãÏÓ\n1 0 obj\n<<>>\nendobj\n%%EOF\n');
const sha256Of = (bytes: Uint8Array): string => createHash('sha256').update(bytes).digest('hex');

describe.each(databases)('attachments on %s', (kind) => {
  let server: TestServer;
  let hand: Client;
  let estate: SmallEstate;
  beforeAll(async () => {
    server = await startServer(kind);
    estate = await layDownSmallEstate(await server.as('administer'));
    hand = await server.as('warehouse');
  });
  afterAll(() => server.stop());

  const folder = () => join(server.settings.dataFolder, 'attachments');
  const keep = (bytes: Buffer, sha256 = sha256Of(bytes)) =>
    hand.call(api.attachments.keep, {
      params: { hash: sha256 },
      body: { base64: bytes.toString('base64') },
    });
  const named = (bytes: Buffer, mediaType: Attachment['mediaType'], name: string): Attachment => ({
    sha256: sha256Of(bytes),
    mediaType,
    name,
    bytes: bytes.length,
  });
  const noteWith = (...attachments: Attachment[]) =>
    act('cask.note', { caskId: estate.caskIds[0] ?? '', text: 'See the sheet.', attachments });
  const verify = () =>
    verifyDatabase(server.settings.databaseUrl, { dataFolder: server.settings.dataFolder });

  test.each([
    ['image/png', PNG],
    ['image/jpeg', JPEG],
    ['image/webp', WEBP],
    ['application/pdf', PDF],
  ] as const)(
    '%s is known by its bytes, kept once, and given to readers as it came',
    async (mediaType, bytes) => {
      const sha256 = sha256Of(bytes);
      const kept = { sha256, mediaType, bytes: bytes.length };
      expect(await keep(bytes)).toEqual(kept);
      expect(await keep(bytes)).toEqual(kept);
      const files = (await readdir(folder())).filter((name) => name.startsWith(sha256));
      expect(files).toHaveLength(1);
      expect((await stat(folder())).mode & 0o777).toBe(0o700);
      expect((await stat(join(folder(), files[0] ?? ''))).mode & 0o777).toBe(0o600);

      const reader = await server.as('read');
      const answer = await reader.file(api.attachments.bytes, { params: { hash: sha256 } });
      expect(Buffer.from(answer.bytes)).toEqual(bytes);
      expect(answer.contentType).toBe(mediaType);
    },
  );

  test('nothing in it runs, and nobody gets it without signing in', async () => {
    await keep(PDF);
    await keep(PNG);
    const of = (bytes: Buffer) => `${server.base}/api/attachments/${sha256Of(bytes)}`;
    expect((await fetch(of(PDF))).status).toBe(401);
    const person = await server.signedIn('read');
    const headers: Record<string, string>[] = [];
    for (const bytes of [PDF, PNG]) {
      const seen = await person.file(api.attachments.bytes, {
        params: { hash: sha256Of(bytes) },
      });
      headers.push({ type: seen.contentType });
    }
    expect(headers).toEqual([{ type: 'application/pdf' }, { type: 'image/png' }]);
    const token = await deviceToken(server);
    const answer = await fetch(of(PDF), { headers: { authorization: `Bearer ${token}` } });
    expect(answer.headers.get('content-disposition')).toBe('attachment');
    expect(answer.headers.get('x-content-type-options')).toBe('nosniff');
    expect(answer.headers.get('content-security-policy')).toBe("default-src 'none'; sandbox");
    expect(answer.headers.get('cache-control')).toBe('no-store');
    // Who may only read hands nothing in.
    const refused = await problemOf(
      person.call(api.attachments.keep, {
        params: { hash: sha256Of(PNG) },
        body: { base64: PNG.toString('base64') },
      }),
    );
    expect(refused.status).toBe(403);
  });

  test('other kinds, other bytes and too many bytes are refused with the reason', async () => {
    const page = Buffer.from('<html><script>alert(1)</script></html>');
    expect(await problemOf(keep(page))).toMatchObject({
      status: 415,
      type: '/problems/attachment-type',
    });
    expect(await problemOf(keep(PNG, sha256Of(PDF)))).toMatchObject({
      status: 422,
      type: '/problems/attachment-differs',
    });
    expect(await problemOf(keep(Buffer.concat([JPEG, Buffer.alloc(10_000_000)])))).toMatchObject({
      status: 400,
      detail: expect.stringContaining('at most 10 MB') as string,
    });
    expect(await problemOf(keep(Buffer.alloc(0)))).toMatchObject({ status: 400 });
    const gone = hand.file(api.attachments.bytes, { params: { hash: sha256Of(page) } });
    expect((await problemOf(gone)).status).toBe(404);
  });

  test('an act waits for its bytes, from an outbox too; then its history shows them', async () => {
    const other = Buffer.concat([JPEG, Buffer.from('another sheet')]);
    const sheet = named(other, 'image/jpeg', 'gauge sheet 7.jpg');
    const waiting = { ...noteWith(sheet), offline: true };
    expect(await problemOf(hand.call(api.journal.submit, { body: waiting }))).toMatchObject({
      status: 409,
      type: '/problems/attachment-missing',
      sha256: sheet.sha256,
      errors: [{ pointer: '#/body/attachments/0' }],
    });
    const { results } = await hand.call(api.journal.submitMany, { body: { acts: [waiting] } });
    expect(results.map(({ status }) => status)).toEqual(['refused']);
    await keep(other);
    // Under another kind or length it is not what was handed in.
    const wrong = noteWith({ ...sheet, mediaType: 'application/pdf' });
    expect((await problemOf(hand.call(api.journal.submit, { body: wrong }))).status).toBe(409);

    const { entry } = await hand.call(api.journal.submit, { body: waiting });
    expect(entry?.body['attachments']).toEqual([sheet]);
    const { rows } = await hand.call(api.journal.list, { query: { limit: 1 } });
    expect(rows[0]?.attachments).toEqual([sheet]);
  });

  test('what a held act has attached is shown by the entry that lets it through', async () => {
    await keep(PDF);
    const report = named(PDF, 'application/pdf', 'report.pdf');
    // No such cask yet.
    const later = estate.caskIds[0] ?? '';
    const keeper = await server.as('keep');
    const [held] = (
      await hand.call(api.journal.submitMany, {
        body: {
          acts: [
            {
              ...act('cask.sample', {
                caskId: later,
                sampleId: estate.caskIds[1] ?? '',
                code: 'S-HELD-1',
                bulkLitresAt20C: 19.999,
                purpose: 'laboratory',
                attachments: [report],
              }),
              happenedAt: '2001-01-01T00:00:00.000Z',
              offline: true,
            },
          ],
        },
      })
    ).results;
    expect(held?.status).toBe('held');
    expect(held?.entry?.kind).toBe('act.hold');
    await doActs(keeper, [
      act('held.settle', { heldActId: held?.entry?.id ?? '', verdict: 'discard', reason: 'Trial' }),
    ]);
    const { rows } = await hand.call(api.journal.list, { query: { limit: 2 } });
    expect(rows.map(({ attachments }) => attachments)).toEqual([[report], [report]]);
  });

  test('bytes that no entry has named are swept after a while, those on their way and those named never', async () => {
    const sweep = server.app.get(AttachmentSweep);
    const day = (ago: number) => new Date(Date.now() - ago * 86_400_000);
    const made = (word: string) => Buffer.concat([JPEG, Buffer.from(word)]);
    const age = async (bytes: Buffer, days: number) => {
      await keep(bytes);
      await utimes(join(folder(), `${sha256Of(bytes)}.jpg`), day(days), day(days));
    };
    const isThere = async (bytes: Buffer) =>
      (await readdir(folder())).includes(`${sha256Of(bytes)}.jpg`);
    const [fresh, forgotten, booked, held] = ['fresh', 'forgotten', 'booked', 'held'].map(made) as [
      Buffer,
      Buffer,
      Buffer,
      Buffer,
    ];
    await age(fresh, 89);
    for (const bytes of [forgotten, booked, held]) await age(bytes, 91);
    await doActs(hand, [noteWith(named(booked, 'image/jpeg', 'booked.jpg'))]);
    const early = {
      ...act('cask.gauge', {
        caskId: estate.caskIds[0] ?? '',
        readings: { method: 'declared', bulkLitresAt20C: 190, strengthPercentVol: 63 },
        attachments: [named(held, 'image/jpeg', 'held.jpg')],
      }),
      happenedAt: '2001-01-01T00:00:00.000Z',
      offline: true,
    };
    const { results } = await hand.call(api.journal.submitMany, { body: { acts: [early] } });
    expect(results.map(({ status }) => status)).toEqual(['held']);

    expect(await sweep.sweep()).toBe(1);
    expect(await Promise.all([fresh, forgotten, booked, held].map(isThere))).toEqual([
      true,
      false,
      true,
      true,
    ]);
    expect(await sweep.sweep()).toBe(0);
    // An act that comes after all is told to send its bytes again.
    const late = noteWith(named(forgotten, 'image/jpeg', 'forgotten.jpg'));
    const refused = await problemOf(hand.call(api.journal.submit, { body: late }));
    expect(refused.type).toBe('/problems/attachment-missing');

    const set = async (value: number) => {
      const keeper = await server.as('administer');
      await doActs(keeper, [
        act('setting.set', { key: 'attachments.wait-days', value, effectiveFrom: '2026-01-01' }),
      ]);
    };
    await age(forgotten, 40_000);
    await set(0);
    expect(await sweep.sweep()).toBe(0);
    await set(1);
    await age(fresh, 6);
    // Less than a week is never waited, whatever is set.
    expect(await sweep.sweep()).toBe(1);
    expect(await isThere(fresh)).toBe(true);
  });

  test('verification finds a changed byte, and a file that is gone, and names the first entry', async () => {
    const sound = await verify();
    expect(sound.failures).toEqual([]);
    expect(sound.attachments).toBeGreaterThan(0);
    await keep(PNG);
    const scan = named(PNG, 'image/png', 'scan.png');
    await doActs(hand, [noteWith(scan), noteWith(scan)]);
    const first = (await hand.call(api.journal.list, { query: { limit: 2 } })).rows[1];
    const file = join(folder(), `${scan.sha256}.png`);

    const changed = await readFile(file);
    changed[40] = (changed[40] ?? 0) ^ 1;
    await writeFile(file, changed);
    expect((await verify()).failures).toEqual([
      {
        what: 'the attachment “scan.png” was changed: its bytes hash to another value',
        entrySeq: first?.seq,
        entryId: first?.id,
        record: `attachment:${scan.sha256}`,
      },
    ]);
    await rm(file);
    expect((await verify()).failures.map(({ what }) => what)).toEqual([
      'the attachment “scan.png” is not there',
    ]);
    // Handed in again, it is whole again.
    await keep(PNG);
    expect((await verify()).ok).toBe(true);
  });
});

async function deviceToken(server: TestServer): Promise<string> {
  const admin = await server.signedIn('administer');
  const { secret } = await admin.call(api.session.addDevice, {
    body: { label: 'reader', roles: ['read'] },
  });
  return secret;
}
