import { createHmac } from 'node:crypto';
import { stat } from 'node:fs/promises';
import { join } from 'node:path';
import sql from 'sql-template-tag';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { api } from '@rundlet/contracts';
import { Reader } from '../../apps/server/src/database/reader.ts';
import { databases } from '../support/database.ts';
import { clientOf, problemOf, startServer, type TestServer } from '../support/server.ts';

const STEP_MS = 30_000;
const BASE32 = 'ABCDEFGHIJKLMNOPQRSTUVWXYZ234567';

/** Bytes of a base 32 text (RFC 4648). */
function fromBase32(text: string): Buffer {
  const bits = [...text].map((c) => BASE32.indexOf(c).toString(2).padStart(5, '0')).join('');
  return Buffer.from((bits.match(/.{8}/g) ?? []).map((byte) => parseInt(byte, 2)));
}

/** What an authenticator shows: RFC 4226, 5.3 over RFC 6238's time steps, written anew here. */
function shown(key: Buffer, at: number): string {
  const counter = Buffer.alloc(8);
  counter.writeBigUInt64BE(BigInt(Math.floor(at / STEP_MS)));
  const digest = createHmac('sha1', key).update(counter).digest();
  const offset = (digest.at(-1) ?? 0) & 15;
  return String((digest.readUInt32BE(offset) & 0x7fffffff) % 1_000_000).padStart(6, '0');
}

test.each([
  [59, '287082'],
  [1_111_111_109, '081804'],
  [1_111_111_111, '050471'],
  [1_234_567_890, '005924'],
  [2_000_000_000, '279037'],
])('RFC 6238, appendix B (SHA-1, last six digits): at %i s the code is %s', (seconds, code) => {
  expect(shown(Buffer.from('12345678901234567890'), seconds * 1000)).toBe(code);
});

describe.each(databases)('the second step of signing in on %s', (kind) => {
  let server: TestServer;
  let now = new Date('2026-05-01T08:00:00.000Z');
  const later = (milliseconds: number) => (now = new Date(now.getTime() + milliseconds));
  beforeAll(async () => {
    server = await startServer(kind, { now: () => now });
  });
  afterAll(() => server.stop());

  const signIn = (
    { signInName, password }: { signInName: string; password: string },
    secondStep?: string,
  ) =>
    clientOf(server.base).call(api.session.signIn, {
      body: { signInName, password, ...(secondStep === undefined ? {} : { secondStep }) },
    });

  async function withSecondStep() {
    const person = await server.signedIn('warehouse');
    const { secret, uri } = await person.call(api.session.beginSecondStep, {
      body: { password: person.password },
    });
    const key = fromBase32(secret);
    const { recoveryCodes } = await person.call(api.session.confirmSecondStep, {
      body: { code: shown(key, now.getTime()) },
    });
    later(STEP_MS);
    return { person, key, uri, secret, recoveryCodes };
  }

  test('counts for nothing until a code was shown; then signing in asks for one', async () => {
    const person = await server.signedIn('warehouse');
    const { secret, uri } = await person.call(api.session.beginSecondStep, {
      body: { password: person.password },
    });
    // The URI that authenticators read (Google Authenticator's key URI format, a de facto standard).
    expect(uri).toMatch(/^otpauth:\/\/totp\/[^?]+\?/);
    const parameters = new URL(uri).searchParams;
    expect(parameters.get('secret')).toBe(secret);
    expect(parameters.get('digits')).toBe('6');
    await signIn(person);
    const key = fromBase32(secret);
    const wrong = person.call(api.session.confirmSecondStep, { body: { code: '000000' } });
    expect(await problemOf(wrong)).toMatchObject({ status: 422, type: '/problems/code-wrong' });
    const { recoveryCodes } = await person.call(api.session.confirmSecondStep, {
      body: { code: shown(key, now.getTime()) },
    });
    expect(new Set(recoveryCodes).size).toBe(10);
    expect(await problemOf(signIn(person))).toMatchObject({
      status: 401,
      type: '/problems/second-step-needed',
    });
    expect(await problemOf(signIn(person, '000000'))).toMatchObject({
      type: '/problems/second-step-wrong',
    });
    later(STEP_MS);
    await signIn(person, shown(key, now.getTime()));
    expect(await person.call(api.session.secondStep)).toEqual({ on: true, recoveryCodesLeft: 10 });
  });

  test('a code is good once, for half a minute either way', async () => {
    const { person, key } = await withSecondStep();
    const code = shown(key, now.getTime());
    await signIn(person, code);
    expect(await problemOf(signIn(person, code))).toMatchObject({
      type: '/problems/second-step-wrong',
    });
    later(2 * STEP_MS);
    await signIn(person, shown(key, now.getTime() + STEP_MS));
    const stale = shown(key, now.getTime() - 2 * STEP_MS);
    expect(await problemOf(signIn(person, stale))).toMatchObject({
      type: '/problems/second-step-wrong',
    });
  });

  test('a recovery code lets in once', async () => {
    const { person, recoveryCodes } = await withSecondStep();
    const [first = ''] = recoveryCodes;
    await signIn(person, first.toLowerCase().replaceAll('-', ' '));
    expect(await problemOf(signIn(person, first))).toMatchObject({
      type: '/problems/second-step-wrong',
    });
    expect(await person.call(api.session.secondStep)).toEqual({ on: true, recoveryCodesLeft: 9 });
  });

  test('guessing codes is stopped like guessing passwords', async () => {
    const { person, key } = await withSecondStep();
    for (let i = 0; i < 5; i++) await problemOf(signIn(person, '000000'));
    expect((await problemOf(signIn(person, shown(key, now.getTime())))).status).toBe(429);
    later(16 * 60_000);
    await signIn(person, shown(key, now.getTime()));
  });

  test('it ends by password and code, or by an administrator for a lost phone', async () => {
    const { person, key } = await withSecondStep();
    const end = (password: string, code: string) =>
      person.call(api.session.endSecondStep, { body: { password, code } });
    expect(await problemOf(end('not the password', shown(key, now.getTime())))).toMatchObject({
      status: 422,
      type: '/problems/password-wrong',
    });
    await end(person.password, shown(key, now.getTime()));
    await signIn(person);
    const lost = await withSecondStep();
    const administrator = await server.signedIn('administer');
    const listed = async () =>
      (await administrator.call(api.session.people)).rows.find(
        ({ signInName }) => signInName === lost.person.signInName,
      );
    const before = await listed();
    expect(before?.secondStep).toBe(true);
    await administrator.call(api.session.changePerson, {
      params: { id: before?.id ?? '' },
      body: { secondStep: false },
    });
    expect((await listed())?.secondStep).toBe(false);
    await signIn(lost.person);
  });

  test('neither the secret nor a recovery code lies open in the database', async () => {
    const { secret, recoveryCodes } = await withSecondStep();
    const stored = JSON.stringify(
      await server.app.get(Reader).all(sql`SELECT * FROM "second_step"`),
    );
    expect(stored).not.toContain(secret);
    for (const code of recoveryCodes) expect(stored).not.toContain(code.replaceAll('-', ''));
    const key = await stat(join(server.settings.dataFolder, 'sealing-key'));
    expect(key.mode & 0o777).toBe(0o600);
  });

  test('who knows the old password may change it, and signs in again everywhere', async () => {
    const { person, key } = await withSecondStep();
    const change = (password: string, newPassword: string) =>
      person.call(api.session.changePassword, { body: { password, newPassword } });
    const newPassword = 'another pass phrase of mine';
    expect(await problemOf(change('not the password', newPassword))).toMatchObject({ status: 422 });
    expect(await problemOf(change(person.password, 'short'))).toMatchObject({ status: 400 });
    await change(person.password, newPassword);
    expect((await problemOf(person.call(api.session.me))).status).toBe(401);
    const { signInName } = person;
    expect((await problemOf(signIn(person, shown(key, now.getTime())))).status).toBe(401);
    await signIn({ signInName, password: newPassword }, shown(key, now.getTime()));
  });

  test('a device has none', async () => {
    const device = await server.as('warehouse');
    const begun = device.call(api.session.beginSecondStep, { body: { password: 'x' } });
    expect((await problemOf(begun)).status).toBe(403);
  });
});
