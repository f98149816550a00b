import { execFile } from 'node:child_process';
import { createHash } from 'node:crypto';
import { mkdtemp, readFile, rm, writeFile } from 'node:fs/promises';
import { existsSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { promisify } from 'node:util';
import { outboxToFile } from '@rundlet/client';
import { api } from '@rundlet/contracts';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { run } from '../../apps/cli/src/program.ts';
import { startServer, type TestServer } from '../support/server.ts';
import { act, layDownSmallEstate } from '../support/small-estate.ts';

let server: TestServer;
let token: string;
let folder: string;
beforeAll(async () => {
  server = await startServer('file');
  folder = await mkdtemp(join(tmpdir(), 'rundlet-cli-'));
  const administrator = await server.signedIn('administer');
  const { secret } = await administrator.call(api.session.addDevice, {
    body: { label: 'command line', roles: ['administer'] },
  });
  token = secret;
  await layDownSmallEstate(administrator);
});
afterAll(async () => {
  await server.stop();
  await rm(folder, { recursive: true });
});

/** One command line as a shell would run it. */
async function rundlet(args: string[], environment: Record<string, string> = {}) {
  const said = { out: '', err: '' };
  const text = (content: string | Uint8Array): string =>
    typeof content === 'string' ? content : new TextDecoder().decode(content);
  const exit = await run(
    ['node', 'rundlet', ...args],
    {
      RUNDLET_URL: server.base,
      RUNDLET_TOKEN: token,
      DATABASE_URL: server.settings.databaseUrl,
      RUNDLET_DATA: server.settings.dataFolder,
      ...environment,
    },
    {
      out: { write: (content) => (said.out += text(content)) },
      err: { write: (content) => (said.err += content) },
    },
  );
  return { exit, ...said };
}

describe('without a server or a right to it', () => {
  test('help tells every command and exit code and ends well', async () => {
    const { exit, out } = await rundlet(['--help']);
    expect(exit).toBe(0);
    for (const command of [
      'serve',
      'import',
      'export',
      'verify',
      'backup',
      'restore',
      'forecast',
      'plan',
    ])
      expect(out).toContain(command);
    expect(out).toContain('cannot be reached');
  });

  test('an unknown command, a missing file and no sign-in are wrong usage', async () => {
    expect((await rundlet(['dance'])).exit).toBe(2);
    const missing = await rundlet(['import', 'casks', join(folder, 'no-such.csv')]);
    expect(missing.exit).toBe(2);
    expect(missing.err).toContain('no-such.csv');
    const nobody = await rundlet(['verify'], { RUNDLET_TOKEN: '' });
    expect(nobody.exit).toBe(2);
    expect(nobody.err).toContain('--token');
  });

  test('a server that is not there is told apart from one that refuses', async () => {
    const away = await rundlet(['verify', '--url', 'http://127.0.0.1:9']);
    expect(away.exit).toBe(4);
    const { secret } = await (
      await server.signedIn('administer')
    ).call(api.session.addDevice, {
      body: { label: 'reader', roles: ['read'] },
    });
    const refused = await rundlet(['verify', '--token', secret]);
    expect(refused.exit).toBe(3);
    expect(refused.err).toContain('keep');
  });
});

describe('import and export', () => {
  const header =
    'kind,nominalLitres,woodSpecies,previousContents,bilgeDiameterMm,headDiameterMm,lengthMm';

  test('wrong rows are named by line and column and nothing is imported', async () => {
    const file = join(folder, 'wrong.csv');
    await writeFile(
      file,
      `${header}\nbarrel,200,Quercus alba,bourbon,650,560,880\nbarrel,two hundred,Quercus alba,bourbon,650,560,880\n`,
    );
    const { exit, out } = await rundlet(['import', 'casks', file, '--apply', '--json']);
    expect(exit).toBe(3);
    const report = JSON.parse(out) as {
      applied: boolean;
      errors: { line: number; column: string }[];
    };
    expect(report.applied).toBe(false);
    expect(report.errors[0]).toMatchObject({ line: 3, column: 'nominalLitres' });
  });

  test('good rows are rehearsed, then imported, then exported', async () => {
    const file = join(folder, 'good.csv');
    await writeFile(
      file,
      `${header},aliases\nbarrel,200,Quercus alba,bourbon,650,560,880,CLI-TEST-7\n`,
    );
    const rehearsal = await rundlet(['import', 'casks', file]);
    expect(rehearsal).toMatchObject({ exit: 0 });
    expect(rehearsal.out).toContain('rehearsal');
    expect((await rundlet(['export', 'casks'])).out).not.toContain('CLI-TEST-7');
    expect((await rundlet(['import', 'casks', file, '--apply'])).exit).toBe(0);
    const out = join(folder, 'casks.csv');
    expect((await rundlet(['export', 'casks', '--out', out])).exit).toBe(0);
    expect(await readFile(out, 'utf8')).toContain('CLI-TEST-7');
  });

  test('a logger’s file needs its zone, and a wrong zone is answered with the right ones', async () => {
    const file = join(folder, 'logger.csv');
    await writeFile(
      file,
      'timestamp,temperature_c,relative_humidity_pct\n2021-02-01T00:00:00Z,8.1,81\n2021-02-01T01:00:00Z,8.0,82\n',
    );
    expect((await rundlet(['import', 'climate', file])).exit).toBe(2);
    const wrong = await rundlet(['import', 'climate', file, '--zone', 'NOWHERE']);
    expect(wrong.exit).toBe(2);
    expect(wrong.err).toContain('HP000-G');
    const right = await rundlet([
      'import',
      'climate',
      file,
      '--zone',
      'HP000-G',
      '--apply',
      '--json',
    ]);
    expect(right.exit).toBe(0);
    expect(JSON.parse(right.out)).toMatchObject({ rowsAccepted: 2, applied: true });
  });
});

test('verify checks the whole journal', async () => {
  const { exit, out } = await rundlet(['verify', '--json']);
  expect(exit).toBe(0);
  expect(JSON.parse(out)).toMatchObject({ ok: true, conservation: { differenceMg: 0 } });
});

test('a backup is made while the server runs, never over another file, and restores to the same journal', async () => {
  const file = join(folder, 'backup.sqlite');
  const backup = await rundlet(['backup', file, '--json']);
  expect(backup.exit).toBe(0);
  const made = JSON.parse(backup.out) as { entries: number; lastHash: string };
  expect(made.entries).toBeGreaterThan(10);
  expect((await rundlet(['backup', file])).exit).toBe(2);

  const data = join(folder, 'restored');
  const restored = await rundlet(['restore', file, '--data', data, '--json']);
  expect(restored.exit).toBe(0);
  expect(JSON.parse(restored.out)).toMatchObject({
    entries: made.entries,
    lastHash: made.lastHash,
    before: null,
  });
  // Once more: what was there is put aside, not lost.
  const again = await rundlet(['restore', file, '--data', data, '--json']);
  const { before } = JSON.parse(again.out) as { before: string };
  expect(existsSync(before)).toBe(true);
});

test('a backup takes the attachments along, in the one file, and puts them back', async () => {
  const pixel = Buffer.from(
    'iVBORw0KGgoAAAANSUhEUgAAAAEAAAABCAYAAAAfFcSJAAAADUlEQVR42mNk+M9QDwADhgGAWjR9awAAAABJRU5ErkJggg==',
    'base64',
  );
  const hash = createHash('sha256').update(pixel).digest('hex');
  const administrator = await server.signedIn('administer');
  await administrator.call(api.attachments.keep, {
    params: { hash },
    body: { base64: pixel.toString('base64') },
  });
  const file = join(folder, 'with-attachments.sqlite');
  const backup = await rundlet(['backup', file, '--json']);
  expect(JSON.parse(backup.out)).toMatchObject({ attachments: 1 });

  const data = join(folder, 'restored-with-attachments');
  expect((await rundlet(['restore', file, '--data', data])).exit).toBe(0);
  expect(await readFile(join(data, 'attachments', `${hash}.png`))).toEqual(pixel);
  // The database is as it was: what carried the files is no part of it.
  const again = join(folder, 'again.sqlite');
  const once = await rundlet(['backup', again, '--data', data, '--json']);
  expect(JSON.parse(once.out)).toMatchObject({ attachments: 1 });
});

test('a file that is no database is not restored, and a database in use is not replaced', async () => {
  const file = join(folder, 'not-a-database.sqlite');
  await writeFile(file, 'Harrow Point'.repeat(500));
  const wrong = await rundlet(['restore', file, '--data', join(folder, 'nothing')]);
  expect(wrong.exit).toBe(3);
  expect(existsSync(join(folder, 'nothing', 'rundlet.sqlite'))).toBe(false);
  const good = join(folder, 'for-use.sqlite');
  await rundlet(['backup', good]);
  const inUse = await rundlet(['restore', good]);
  expect(inUse.exit).toBe(3);
  expect(inUse.err).toContain('Stop it first');
});

test('device tokens are issued, listed and revoked', async () => {
  const added = await rundlet([
    'device',
    'add',
    'Aisle scanner 3',
    '--role',
    'warehouse',
    '--json',
  ]);
  expect(added.exit).toBe(0);
  const { device, secret } = JSON.parse(added.out) as { device: { id: string }; secret: string };
  expect((await rundlet(['export', 'casks', '--token', secret])).exit).toBe(0);
  expect((await rundlet(['device', 'revoke', device.id])).exit).toBe(0);
  expect((await rundlet(['export', 'casks', '--token', secret])).exit).toBe(3);
  expect((await rundlet(['device', 'list'])).out).toContain('(revoked)');
});

test('a person signs in from the command line with a password from the environment', async () => {
  const person = await server.signedIn('read');
  const { exit } = await rundlet(['export', 'casks', '--user', person.signInName], {
    RUNDLET_TOKEN: '',
    RUNDLET_PASSWORD: person.password,
  });
  expect(exit).toBe(0);
  expect((await rundlet(['person', 'list'])).out).toContain(person.signInName);
});

test('a blend request that is not as it should be is refused at its fields', async () => {
  const file = join(folder, 'request.json');
  await writeFile(
    file,
    JSON.stringify({ blendOn: 'soon', target: { bulkLitresAt20C: 400, strengthPercentVol: 460 } }),
  );
  const { exit, err } = await rundlet(['plan', file]);
  expect(exit).toBe(2);
  expect(err).toContain('/blendOn');
  expect(err).toContain('/target/strengthPercentVol');
});

test('a bundle of records is forecast without any server', async () => {
  const file = join(folder, 'bundle.json');
  await writeFile(file, JSON.stringify(bundle()));
  const { exit, out } = await rundlet(['forecast', file], { RUNDLET_URL: 'http://127.0.0.1:9' });
  expect(exit).toBe(0);
  const { forecasts } = JSON.parse(out) as {
    forecasts: {
      cask_id: string;
      horizon_y: number;
      bulk_l_point: number;
      bulk_l_lo90: number;
      bulk_l_hi90: number;
    }[];
  };
  expect(forecasts.map((f) => f.horizon_y)).toEqual([1, 5]);
  for (const f of forecasts) {
    expect(f.bulk_l_lo90).toBeLessThan(f.bulk_l_point);
    expect(f.bulk_l_point).toBeLessThan(f.bulk_l_hi90);
    expect(f.bulk_l_point).toBeLessThan(194);
  }
  expect((await rundlet(['forecast', '--file', join(folder, 'request.json')])).exit).toBe(2);
});

/** One cask in a steady cellar with one regauge. */
function bundle() {
  const day = (i: number): string =>
    new Date(Date.UTC(2022, 0, 1) + i * 86_400_000).toISOString().slice(0, 10);
  return {
    warehouse: {
      warehouse_id: 'T',
      cutoff_date: '2024-01-01',
      horizons_y: [1, 5],
      horizon_dates: { 1: '2025-01-01', 5: '2029-01-01' },
      zones: [{ zone_id: 'Z', sensor_floor: 0 }],
    },
    casks: [
      {
        cask_id: 'C1',
        cask_type: 'barrel',
        capacity_l_nominal: 200,
        wood_species: 'Quercus alba',
        fill_number: 2,
        previous_contents: 'bourbon',
        orientation: 'on_side',
        floor: 0,
        zone_id: 'Z',
        parcel_id: 'P1',
        cooper_lot: 'L1',
        fill_date: '2020-01-10',
        fill_bulk_l_20c: 200,
        fill_abv_20c_pct: 63.5,
        fill_method: 'weight',
        regauges: [
          {
            date: '2023-01-10',
            method: 'dip',
            bulk_l_20c: 190,
            abv_20c_pct: 62.4,
            liquid_temp_c: 10,
          },
        ],
        withdrawals: [],
      },
    ],
    climate: Array.from({ length: 730 }, (_, i) => ({
      zone_id: 'Z',
      date: day(i),
      temp_c: 11 - 4 * Math.cos((2 * Math.PI * i) / 365),
      rh_pct: 80,
    })),
  };
}

describe('a certificate for a network without a public name', () => {
  const openssl = async (...args: string[]) => (await promisify(execFile)('openssl', args)).stdout;

  test('one command makes what OpenSSL accepts, and renews it without a new authority', async () => {
    const data = join(folder, 'estate');
    const make = () =>
      rundlet([
        '--json',
        'certificate',
        '--data',
        data,
        '--host',
        'casks.harrowpoint.example',
        '--host',
        '192.0.2.7',
      ]);
    expect((await make()).exit).toBe(0);
    const tls = (name: string) => join(data, 'tls', name);
    const authority = await readFile(tls('authority.crt'));
    const verified = () =>
      openssl(
        'verify',
        '-x509_strict',
        '-purpose',
        'sslserver',
        '-verify_hostname',
        'casks.harrowpoint.example',
        '-CAfile',
        tls('authority.pem'),
        tls('server.pem'),
      );
    expect(await verified()).toContain(': OK');
    const words = await openssl('x509', '-in', tls('server.pem'), '-noout', '-text');
    expect(words).toContain('DNS:casks.harrowpoint.example, IP Address:192.0.2.7');
    // What Apple asks of server certificates: support.apple.com/HT210176.
    expect(words).toContain('TLS Web Server Authentication');
    const [from, until] = [...words.matchAll(/Not (?:Before|After) ?: (.+)/g)].map((m) =>
      Date.parse(m[1] ?? ''),
    );
    expect(((until ?? 0) - (from ?? 0)) / 86_400_000).toBeLessThanOrEqual(825);
    const renewed = await make();
    expect(JSON.parse(renewed.out)).toMatchObject({ newAuthority: false });
    expect(await readFile(tls('authority.crt'))).toEqual(authority);
    expect(await verified()).toContain(': OK');
  });

  test('the server hands out the authority, never its key', async () => {
    const tls = join(server.settings.dataFolder, 'tls');
    expect((await fetch(`${server.base}/authority.crt`)).status).toBe(404);
    await rundlet(['certificate', '--data', server.settings.dataFolder, '--host', 'localhost']);
    const answer = await fetch(`${server.base}/authority.crt`);
    expect(answer.headers.get('content-type')).toBe('application/x-x509-ca-cert');
    expect(Buffer.from(await answer.arrayBuffer())).toEqual(
      await readFile(join(tls, 'authority.crt')),
    );
    for (const name of ['authority.key', 'server.key', 'tls/authority.key'])
      expect((await fetch(`${server.base}/${name}`)).status).toBe(404);
  });

  test('a host that is an address with a scheme is refused in words', async () => {
    const { exit, err } = await rundlet(['certificate', '--data', folder, '--host', 'https://x']);
    expect(exit).toBe(2);
    expect(err).toContain('without https://');
  });
});

test('what a device saved as a file is booked once', async () => {
  const reader = await server.as('read');
  const cask = (await reader.call(api.casks.list)).rows[0];
  const note = act('cask.note', { caskId: cask?.id ?? '', text: 'from the loft' });
  const file = join(folder, 'outbox.json');
  const item = {
    id: note.id,
    sequence: 1,
    act: note,
    by: null,
    words: 'Note',
    state: 'waiting' as const,
    addedAt: note.happenedAt,
    settledAt: null,
    tries: 3,
    problem: null,
  };
  await writeFile(file, await outboxToFile([item], { device: 'web-1', madeAt: note.happenedAt }));
  expect((await rundlet(['outbox', file])).out).toContain('1 booked, 0 were booked before');
  expect((await rundlet(['outbox', file])).out).toContain('0 booked, 1 were booked before');
  await writeFile(file, '{"format":"something else"}');
  expect((await rundlet(['outbox', file])).exit).toBe(2);
});

test('a photograph is attached to a cask under its hash', async () => {
  const reader = await server.as('read');
  const cask = (await reader.call(api.casks.list)).rows[0];
  const file = join(folder, 'gauge sheet.jpg');
  // Start of image and a JFIF header (ITU-T T.871, 10.1).
  await writeFile(file, Buffer.from('ffd8ffe000104a46494600010100000100010000ffd9', 'hex'));
  const { exit, out } = await rundlet(['attach', cask?.code ?? '', file, '--note', 'The sheet']);
  expect(exit).toBe(0);
  const { rows } = await reader.call(api.journal.list, { query: { limit: 1 } });
  const [attachment] = rows[0]?.attachments ?? [];
  expect(attachment).toMatchObject({ name: 'gauge sheet.jpg', mediaType: 'image/jpeg', bytes: 22 });
  expect(out).toContain(attachment?.sha256);
  const none = await rundlet(['attach', cask?.code ?? '', join(folder, 'no'), '--note', 'None']);
  expect(none.exit).toBe(2);
});
