import { mkdtemp, readFile, rm, stat } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import sql from 'sql-template-tag';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { api } from '@rundlet/contracts';
import { Reader } from '../../apps/server/src/database/reader.ts';
import { DemoPeople } from '../../apps/server/src/session/demo-people.ts';
import { FirstAdministrator } from '../../apps/server/src/session/first-administrator.ts';
import { hashPassword, isPassword } from '../../apps/server/src/session/passwords.ts';
import { saying } from '../support/matchers.ts';
import { databases } from '../support/database.ts';
import { clientOf, problemOf, startServer, type TestServer } from '../support/server.ts';

const MINUTE = 60_000;
const DAY = 24 * 60 * MINUTE;

describe.each(databases)('signing in on %s', (kind) => {
  let server: TestServer;
  let now = new Date('2026-05-01T08:00:00.000Z');
  const later = (milliseconds: number) => {
    now = new Date(now.getTime() + milliseconds);
  };
  beforeAll(async () => {
    server = await startServer(kind, { now: () => now });
  });
  afterAll(() => server.stop());

  const signIn = (signInName: string, password: string, from = server.nobody) =>
    from.call(api.session.signIn, { body: { signInName, password } });

  test('the one-time link makes the first administrator, once', async () => {
    const links = server.app.get(FirstAdministrator);
    const replaced = await links.issueToken();
    const token = await links.issueToken();
    const person = { signInName: 'Edda', name: 'Edda', password: 'a long enough pass phrase' };
    const setUp = (t: string | null) =>
      server.nobody.call(api.session.setUp, { body: { token: t ?? '', ...person } });
    expect((await problemOf(setUp(replaced))).status).toBe(403);
    const made = await setUp(token);
    expect(made).toMatchObject({ signInName: 'edda', disabled: false });
    expect(made.roles).toContain('administer');
    expect((await problemOf(setUp(token))).status).toBe(403);
    expect(await links.issueToken()).toBeNull();
  });

  test('a short password is refused at the field (NIST SP 800-63B-4: at least 15 characters)', async () => {
    const problem = await problemOf(
      server.nobody.call(api.session.setUp, {
        body: { token: 'x', signInName: 'ab', name: 'A', password: 'fourteen chars' },
      }),
    );
    expect(problem).toMatchObject({ status: 400, errors: [{ pointer: '#/body/password' }] });
  });

  test('the session lives in an HttpOnly SameSite cookie, and only its hash is kept', async () => {
    const person = await server.signedIn('read');
    const response = await fetch(`${server.base}/api/session`, {
      method: 'POST',
      headers: { 'content-type': 'application/json' },
      body: JSON.stringify({
        signInName: ` ${person.signInName.toUpperCase()} `,
        password: person.password,
      }),
    });
    const [cookie = ''] = response.headers.getSetCookie();
    expect(cookie).toMatch(
      /^rundlet_session=[\w-]{43}; Max-Age=\d+; Path=\/; Expires=[^;]+; HttpOnly; SameSite=Lax$/,
    );
    const secret = cookie.slice('rundlet_session='.length, cookie.indexOf(';'));
    const stored = JSON.stringify(await server.app.get(Reader).all(sql`SELECT * FROM "session"`));
    expect(stored).not.toContain(secret);
    expect(response.headers.get('content-encoding')).toBeNull();
  });

  test('behind https the cookie is Secure', async () => {
    const secure = await startServer('memory', {
      environment: { RUNDLET_ORIGIN: 'https://casks.harrowpoint.example' },
    });
    const { signInName, password } = await secure.signedIn('read');
    const response = await fetch(`${secure.base}/api/session`, {
      method: 'POST',
      headers: { 'content-type': 'application/json' },
      body: JSON.stringify({ signInName, password }),
    });
    expect(response.headers.getSetCookie()[0]).toMatch(/; Secure/);
    expect(response.headers.get('strict-transport-security')).toMatch(/max-age=\d{8}/);
    await secure.stop();
  });

  test('a wrong password and an unknown name are told apart by nobody', async () => {
    const person = await server.signedIn('read');
    const wrong = await problemOf(signIn(person.signInName, 'not this one, sorry'));
    const unknown = await problemOf(signIn('nobody-at-all', 'not this one, sorry'));
    expect(wrong).toEqual(unknown);
    expect(wrong.status).toBe(401);
  });

  test('changing requests need the token; reading ones do not', async () => {
    const administrator = await server.signedIn('administer');
    const session = await administrator.call(api.session.me);
    const cookieOnly = clientOf(server.base);
    await signIn(administrator.signInName, administrator.password, cookieOnly);
    expect((await cookieOnly.call(api.session.people)).rows.length).toBeGreaterThan(1);
    const add = { body: { label: 'scanner', roles: ['warehouse' as const] } };
    expect(await problemOf(cookieOnly.call(api.session.addDevice, add))).toMatchObject({
      status: 403,
      detail: saying('x-csrf-token'),
    });
    // Another session's token is no better than none.
    const other = clientOf(server.base, { 'x-csrf-token': session.csrfToken });
    await signIn(administrator.signInName, administrator.password, other);
    expect((await problemOf(other.call(api.session.addDevice, add))).status).toBe(403);
    expect((await administrator.call(api.session.addDevice, add)).secret).toMatch(/^rundlet_/);
  });

  test('signing out, being disabled and a new password each end the session', async () => {
    const administrator = await server.signedIn('administer');
    const ended = async (client: typeof administrator) =>
      (await problemOf(client.call(api.session.me))).status === 401;
    const one = await server.signedIn('read');
    await one.call(api.session.signOut);
    expect(await ended(one)).toBe(true);
    for (const body of [{ disabled: true }, { password: 'an altogether new pass phrase' }]) {
      const other = await server.signedIn('read');
      const { person } = await other.call(api.session.me);
      await administrator.call(api.session.changePerson, { params: { id: person.id }, body });
      expect(await ended(other)).toBe(true);
      expect((await problemOf(signIn(other.signInName, other.password))).status).toBe(401);
    }
  });

  test('a change of roles counts at once', async () => {
    const administrator = await server.signedIn('administer');
    const other = await server.signedIn('administer');
    const { person } = await other.call(api.session.me);
    await administrator.call(api.session.changePerson, {
      params: { id: person.id },
      body: { roles: ['read'] },
    });
    expect((await problemOf(other.call(api.session.people))).status).toBe(403);
  });

  test('somebody who may administer is always left, and names are given once', async () => {
    const alone = await startServer('memory');
    const administrator = await alone.signedIn('administer');
    const { person } = await administrator.call(api.session.me);
    for (const body of [{ disabled: true }, { roles: ['keep' as const] }])
      expect(
        await problemOf(
          administrator.call(api.session.changePerson, { params: { id: person.id }, body }),
        ),
      ).toMatchObject({ status: 409, type: '/problems/last-administrator' });
    expect((await administrator.call(api.session.me)).person.roles).toEqual(['administer']);
    const again = administrator.call(api.session.addPerson, {
      body: {
        signInName: administrator.signInName,
        name: 'Again',
        roles: ['read'],
        password: 'a long enough pass phrase',
      },
    });
    expect((await problemOf(again)).type).toBe('/problems/sign-in-name-taken');
    await alone.stop();
  });

  test('a session ends after two idle weeks, and after thirty days in any case', async () => {
    const idle = await server.signedIn('read');
    later(13 * DAY);
    await idle.call(api.session.me);
    later(13 * DAY);
    await idle.call(api.session.me);
    later(5 * DAY);
    expect((await problemOf(idle.call(api.session.me))).status).toBe(401);
    const away = await server.signedIn('read');
    later(15 * DAY);
    expect((await problemOf(away.call(api.session.me))).status).toBe(401);
  });

  test('after five wrong tries the sixth must wait a quarter of an hour, right or wrong, and after a restart too', async () => {
    const person = await server.signedIn('read');
    for (let i = 0; i < 5; i++)
      expect((await problemOf(signIn(person.signInName, 'wrong wrong wrong'))).status).toBe(401);
    const response = await fetch(`${server.base}/api/session`, {
      method: 'POST',
      headers: { 'content-type': 'application/json' },
      body: JSON.stringify({ signInName: person.signInName, password: person.password }),
    });
    expect(response.status).toBe(429);
    expect(response.headers.get('retry-after')).toBe('900');
    const rows = await server.app
      .get(Reader)
      .all(sql`SELECT * FROM "sign_in_attempt" WHERE "signInName" = ${person.signInName}`);
    expect(rows.length).toBeGreaterThanOrEqual(5);
    // Others are not held up.
    await server.signedIn('read');
    later(16 * MINUTE);
    expect((await signIn(person.signInName, person.password)).person.signInName).toBe(
      person.signInName,
    );
  });

  test('tries at the same moment all count', async () => {
    const person = await server.signedIn('read');
    const tries = await Promise.all(
      Array.from({ length: 9 }, () => problemOf(signIn(person.signInName, 'wrong wrong wrong'))),
    );
    const statuses = tries.map((t) => t.status).sort();
    if (kind === 'file') expect(statuses).toEqual([401, 401, 401, 401, 401, 429, 429, 429, 429]);
    else expect(statuses.filter((s) => s === 429).length).toBeGreaterThan(0);
    later(16 * MINUTE);
  });

  test('a device token works until it is revoked', async () => {
    const administrator = await server.signedIn('administer');
    const { device, secret } = await administrator.call(api.session.addDevice, {
      body: { label: 'aisle scanner', roles: ['warehouse'] },
    });
    const scanner = clientOf(server.base, { authorization: `Bearer ${secret}` });
    expect((await scanner.call(api.session.me)).person).toMatchObject({
      id: device.id,
      name: 'aisle scanner',
      roles: ['warehouse'],
    });
    const stored = JSON.stringify(
      await server.app.get(Reader).all(sql`SELECT * FROM "device_token"`),
    );
    expect(stored).not.toContain(secret);
    expect(
      (await administrator.call(api.session.devices)).rows.find((d) => d.id === device.id)
        ?.lastUsedAt,
    ).toBe(now.toISOString());
    expect(
      (await administrator.call(api.session.revokeDevice, { params: { id: device.id } })).revoked,
    ).toBe(true);
    expect((await problemOf(scanner.call(api.session.me))).status).toBe(401);
  });
});

test('the demo’s sign-ins are made once, kept for their owner only, and work', async () => {
  const folder = await mkdtemp(join(tmpdir(), 'rundlet-demo-'));
  const server = await startServer('memory', { environment: { RUNDLET_DEMO: '1' } });
  const first = await server.app.get(DemoPeople).ensure(folder);
  expect(await server.app.get(DemoPeople).ensure(folder)).toEqual(first);
  expect(new Set(first.map((p) => p.password)).size).toBe(first.length);
  const file = join(folder, 'demo-sign-ins.json');
  expect(JSON.parse(await readFile(file, 'utf8'))).toEqual(first);
  expect((await stat(file)).mode & 0o077).toBe(0);
  for (const { signInName, password, roles } of first)
    expect(
      await clientOf(server.base).call(api.session.signIn, { body: { signInName, password } }),
    ).toMatchObject({ person: { roles }, demo: true, estateName: 'Harrow Point' });
  // Without the file the old passwords are lost, so there are new ones for the same people.
  await rm(file);
  const renewed = await server.app.get(DemoPeople).ensure(folder);
  expect(renewed[0]?.password).not.toBe(first[0]?.password);
  const [keeper] = renewed;
  await clientOf(server.base).call(api.session.signIn, {
    body: { signInName: keeper?.signInName ?? '', password: keeper?.password ?? '' },
  });
  await server.stop();
  await rm(folder, { recursive: true });
});

test('a password is kept salted, at the cost it states, in whichever form its letters were typed', async () => {
  const [a, b] = await Promise.all([
    hashPassword('Käfer über Hügel'),
    hashPassword('Käfer über Hügel'),
  ]);
  expect(a).not.toBe(b);
  expect(a).toMatch(/^scrypt\$15\$8\$3\$[\w-]{22}\$[\w-]{43}$/);
  expect(await isPassword('Käfer über Hügel'.normalize('NFD'), a)).toBe(true);
  expect(await isPassword('Käfer über Hugel', a)).toBe(false);
  // RFC 7914, section 12, third vector: N = 16384, r = 8, p = 1.
  const vector = `scrypt$14$8$1$${Buffer.from('SodiumChloride').toString('base64url')}$${Buffer.from('7023bdcb3afd7348461c06cd81fd38ebfda8fbba904f8e3ea9b543f6545da1f2', 'hex').toString('base64url')}`;
  expect(await isPassword('pleaseletmein', vector)).toBe(true);
});
