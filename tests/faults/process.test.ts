import { execFile } from 'node:child_process';
import { mkdtemp, readFile, rm } from 'node:fs/promises';
import { request } from 'node:https';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { promisify } from 'node:util';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { api } from '@rundlet/contracts';
import { clientOf } from '../support/server.ts';
import { act, layDownSmallEstate } from '../support/small-estate.ts';
import {
  demoClient,
  ensureServerBuilt,
  freePort,
  spawnServer,
  untilReady,
  type ServerProcess,
} from '../support/process.ts';
import { verifyDatabase } from '../../apps/server/src/journal/verification.ts';

let folder: string;
const running: ServerProcess[] = [];
beforeAll(async () => {
  await ensureServerBuilt();
  folder = await mkdtemp(join(tmpdir(), 'rundlet-process-'));
});
afterAll(async () => {
  for (const server of running) server.process.kill('SIGKILL');
  await rm(folder, { recursive: true });
});

async function start(environment: Record<string, string>, port?: number): Promise<ServerProcess> {
  const server = await spawnServer(environment, port);
  running.push(server);
  return server;
}

describe('the server as a process', () => {
  test('with wrong settings says which, and ends', async () => {
    const server = await start({ RUNDLET_DATA: folder, PORT: '99999', RUNDLET_DEMO: 'perhaps' });
    expect(await server.ended).toBe(1);
    expect(server.told()).toContain('PORT must be at most 65535');
    expect(server.told()).toContain('RUNDLET_DEMO must be 1 or 0');
  });

  test('on a database it cannot open says so, and ends', async () => {
    const server = await start({
      RUNDLET_DATA: folder,
      DATABASE_URL: `sqlite:${import.meta.filename}/x.sqlite`,
    });
    expect(await server.ended).toBe(1);
    expect(server.told()).toContain('Rundlet could not start');
  });

  test('without people tells a one-time link, which is not in the log', async () => {
    const data = join(folder, 'first');
    const server = await start({ RUNDLET_DATA: data, RUNDLET_LOG: 'info' });
    await untilReady(server);
    const link = /\/first-administrator\/([\w-]{43})/;
    await expect.poll(() => server.told(), { timeout: 30_000 }).toMatch(link);
    const token = link.exec(server.told())?.[1] ?? '';
    const made = await clientOf(server.base).call(api.session.setUp, {
      body: { token, signInName: 'edda', name: 'Edda', password: 'a long enough pass phrase' },
    });
    expect(made.roles).toContain('administer');
    server.process.kill('SIGTERM');
    expect(await server.ended).toBe(0);
    expect(server.logged()).toContain('"path":"/api/first-administrator"');
    expect(server.logged()).not.toContain(token);
    const again = await start({ RUNDLET_DATA: data });
    await untilReady(again);
    expect(again.told()).not.toContain('first-administrator');
    again.process.kill('SIGTERM');
    expect(await again.ended).toBe(0);
  });

  test('asked to stop, it finishes what it has begun', async () => {
    const data = join(folder, 'graceful');
    const server = await start({ RUNDLET_DATA: data, RUNDLET_DEMO: '1' });
    await untilReady(server);
    const keeper = await demoClient(server, data, 'keeper');
    const estate = await layDownSmallEstate(keeper);
    const notes = Array.from({ length: 40 }, (_, i) =>
      act('cask.note', { caskId: estate.caskIds[0] ?? '', text: `note ${String(i)}` }),
    );
    const sent = notes.map((body) => keeper.call(api.journal.submit, { body }).then(() => body.id));
    await Promise.race(sent);
    server.process.kill('SIGTERM');
    const answered = (await Promise.allSettled(sent)).flatMap((r) =>
      r.status === 'fulfilled' ? [r.value] : [],
    );
    expect(await server.ended).toBe(0);
    expect(answered.length).toBeGreaterThan(0);
    await expectWritten(join(data, 'rundlet.sqlite'), answered);
  });

  test('serves https with a certificate of its own', async () => {
    const [key, cert] = [join(folder, 'key.pem'), join(folder, 'cert.pem')];
    await promisify(execFile)('openssl', [
      ...['req', '-x509', '-newkey', 'ec', '-pkeyopt', 'ec_paramgen_curve:prime256v1', '-nodes'],
      ...['-keyout', key, '-out', cert, '-subj', '/CN=casks.harrowpoint.example', '-days', '2'],
    ]);
    const port = await freePort();
    const server = await start(
      { RUNDLET_DATA: join(folder, 'tls'), RUNDLET_TLS_CERT: cert, RUNDLET_TLS_KEY: key },
      port,
    );
    const ca = await readFile(cert);
    const ask = () =>
      new Promise<{ status: number; hsts: string }>((resolve, reject) => {
        request(
          { port, host: '127.0.0.1', path: '/ready', ca, servername: 'casks.harrowpoint.example' },
          (response) => {
            response.resume();
            resolve({
              status: response.statusCode ?? 0,
              hsts: response.headers['strict-transport-security'] ?? '',
            });
          },
        )
          .on('error', reject)
          .end();
      });
    let answer: Awaited<ReturnType<typeof ask>> | undefined;
    while (!answer) {
      answer = await ask().catch(() => undefined);
      await new Promise((resolve) => setTimeout(resolve, 50));
    }
    expect(answer.status).toBe(200);
    expect(answer.hsts).toContain('max-age=31536000');
    expect(server.told()).toContain('https://');
    server.process.kill('SIGTERM');
    expect(await server.ended).toBe(0);
  });
});

/** Each of these acts is in the journal, and the whole of it verifies. */
async function expectWritten(file: string, ids: readonly string[]): Promise<void> {
  const report = await verifyDatabase(`sqlite:${file}`);
  expect(report.failures).toEqual([]);
  const server = await start({ RUNDLET_DATA: join(file, '..'), RUNDLET_DEMO: '1' });
  await untilReady(server);
  const reader = await demoClient(server, join(file, '..'), 'clerk');
  for (const id of ids)
    expect((await reader.call(api.journal.entry, { params: { id } })).id).toBe(id);
  server.process.kill('SIGTERM');
  expect(await server.ended).toBe(0);
}
