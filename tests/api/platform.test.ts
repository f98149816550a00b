import { mkdir, mkdtemp, rm, writeFile } from 'node:fs/promises';
import { request } from 'node:http';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, test, vi } from 'vitest';
import { api } from '@rundlet/contracts';
import { settingsFrom, SettingsError } from '../../apps/server/src/platform/settings.ts';
import { aText, having } from '../support/matchers.ts';
import { act, newId } from '../support/small-estate.ts';
import { problemOf, startServer, type TestServer } from '../support/server.ts';

describe('the platform', () => {
  let server: TestServer;
  let web: string;
  beforeAll(async () => {
    web = await mkdtemp(join(tmpdir(), 'rundlet-web-'));
    await mkdir(join(web, 'assets'));
    await writeFile(join(web, 'index.html'), '<!doctype html><title>first page</title>');
    await writeFile(join(web, 'assets', 'app-1a2b3c.js'), 'export {};');
    await writeFile(join(web, 'sw.js'), '// worker');
    server = await startServer('memory', { environment: { RUNDLET_WEB: web } });
  });
  afterAll(async () => {
    await server.stop();
    await rm(web, { recursive: true });
  });

  const get = (path: string, headers: Record<string, string> = {}) =>
    fetch(server.base + path, { headers: { accept: 'text/html,*/*', ...headers } });

  test('refuses with problem details, whatever is wrong', async () => {
    const send = (body: string, headers: Record<string, string> = {}) =>
      fetch(`${server.base}/api/session`, {
        method: 'POST',
        headers: { 'content-type': 'application/json', ...headers },
        body,
      });
    const broken = [
      [await send('{"signInName":'), 400],
      [await send('"text"'), 400],
      [await send('{}'), 400],
      [await send(JSON.stringify({ signInName: 'x', password: 'p'.repeat(30_000) })), 413],
      [await send('signInName=x', { 'content-type': 'application/x-www-form-urlencoded' }), 400],
      [await get('/api/nowhere'), 404],
      [await fetch(`${server.base}/api/session`, { method: 'PUT' }), 404],
    ] as const;
    for (const [response, status] of broken) {
      expect(response.status).toBe(status);
      expect(response.headers.get('content-type')).toBe('application/problem+json; charset=utf-8');
      const problem = (await response.json()) as Record<string, unknown>;
      expect(problem).toMatchObject({
        status,
        type: aText,
        title: aText,
      });
      expect(JSON.stringify(problem)).not.toMatch(/node_modules|\.ts:|at /);
    }
  });

  test('takes long bodies only where they belong, and only from whom it knows', async () => {
    const keeper = await server.as('keep');
    const csv = `code,name,areaHa,crop,variety\n${'x'.repeat(1_500_000)}`;
    const { jobId } = await keeper.call(api.imports.importCsv, {
      params: { kind: 'plots' },
      body: { csv, apply: false },
    });
    expect(jobId).not.toBe('');
    const long = keeper.call(api.blends.solve, { body: { text: 'x'.repeat(1_200_000) } as never });
    expect((await problemOf(long)).status).toBe(413);
    const stranger = await fetch(`${server.base}/api/imports/plots`, {
      method: 'POST',
      headers: { 'content-type': 'application/json' },
      body: JSON.stringify({ csv, apply: false }),
    });
    expect(stranger.status).toBe(413);
  });

  test('an unexpected failure shows nothing of the inside', async () => {
    const { History } = await import('../../apps/server/src/journal/history.ts');
    const history = server.app.get(History);
    const failing = vi.spyOn(history, 'page').mockRejectedValue(new Error('secret of the house'));
    const reader = await server.as('read');
    const problem = await problemOf(reader.call(api.journal.list));
    failing.mockRestore();
    expect(problem).toEqual({
      type: 'about:blank',
      title: 'Internal Server Error',
      status: 500,
      instance: '/api/journal',
    });
  });

  test('sends a strict policy with every page, and lets nobody keep what the API says', async () => {
    const page = await get('/');
    const policy = page.headers.get('content-security-policy') ?? '';
    expect(policy).toContain("script-src 'self' 'wasm-unsafe-eval'");
    expect(policy).toContain("default-src 'self'");
    expect(policy).toContain("frame-ancestors 'none'");
    expect(policy).not.toContain("'unsafe-inline'");
    expect(policy).not.toMatch(/https?:|\*/);
    expect(page.headers.get('x-content-type-options')).toBe('nosniff');
    expect(page.headers.get('x-powered-by')).toBeNull();
    expect(page.headers.get('permissions-policy')).toContain('camera=(self)');
    expect((await get('/api/session')).headers.get('cache-control')).toBe('no-store');
  });

  test('serves the web app: hashed files for ever, its first page for every screen and every label', async () => {
    expect((await get('/assets/app-1a2b3c.js')).headers.get('cache-control')).toContain(
      'immutable',
    );
    expect((await get('/sw.js')).headers.get('cache-control')).toBe('no-cache');
    for (const path of [
      '/',
      '/desk/stock',
      '/C/C00004H9',
      '/c/c00004h9',
      '/8004/95011015301',
      '/first-administrator/token',
    ]) {
      const response = await get(path);
      expect(response.status).toBe(200);
      expect(await response.text()).toContain('first page');
      expect(response.headers.get('cache-control')).toBe('no-cache');
    }
    expect((await get('/assets/gone.js')).status).toBe(404);
    // As a client that does not tidy up its path would send it.
    const { hostname, port } = new URL(server.base);
    const outside = await new Promise<string>((resolve) => {
      request({ hostname, port, path: '/..%2f..%2f..%2fetc%2fpasswd' }, (response) => {
        let body = '';
        response.on('data', (chunk) => (body += String(chunk)));
        response.on('end', () => resolve(body));
      }).end();
    });
    expect(outside).not.toContain('root:');
  });

  test('says when the web app is missing', async () => {
    const without = await startServer('memory');
    const page = await fetch(`${without.base}/`, { headers: { accept: 'text/html' } });
    expect(page.status).toBe(503);
    expect(await page.text()).toContain('npm run build');
    await without.stop();
  });

  test('is healthy and ready, and gives every answer an id', async () => {
    expect(await (await get('/health')).json()).toEqual({ status: 'ok' });
    const ready = await get('/ready', { 'x-request-id': 'proxy-given-1' });
    expect(await ready.json()).toEqual({ status: 'ready' });
    expect(ready.headers.get('x-request-id')).toBe('proxy-given-1');
    expect(
      (await get('/ready', { 'x-request-id': 'a b\u00e9' })).headers.get('x-request-id'),
    ).toMatch(/^[\da-f-]{36}$/);
  });

  test('tells who watches over it how it fares, by route and without anything of the stock', async () => {
    expect((await get('/metrics')).status).toBe(404);
    const token = 'a-token-for-the-watcher';
    const watched = await startServer('memory', { environment: { RUNDLET_METRICS_TOKEN: token } });
    await fetch(`${watched.base}/api/casks/${newId()}`);
    await fetch(`${watched.base}/ready`);
    const ask = (authorization: string) =>
      fetch(`${watched.base}/metrics`, { headers: { authorization } });
    expect((await ask('Bearer wrong')).status).toBe(401);
    const figures = await (await ask(`Bearer ${token}`)).text();
    await watched.stop();
    // Prometheus exposition format: HELP, TYPE, name{label="value"} number
    expect(figures).toMatch(/^# TYPE rundlet_request_seconds histogram$/m);
    expect(figures).toMatch(
      /^rundlet_request_seconds_count\{method="GET",route="\/ready",status="200"\} 1$/m,
    );
    expect(figures).toMatch(/^rundlet_request_seconds_count\{[^}]*status="401"\} 1$/m);
    expect(figures).toMatch(/^rundlet_journal_entries \d+$/m);
    expect(figures).toMatch(/^rundlet_jobs\{status="running"\} 0$/m);
    expect(figures).toMatch(/^process_resident_memory_bytes \d+$/m);
  });

  test('compresses long answers', async () => {
    expect(
      (await get('/api/openapi.json', { 'accept-encoding': 'gzip' })).headers.get(
        'content-encoding',
      ),
    ).toBe('gzip');
  });
});

test('logs are JSON lines without bodies, query strings, cookies or tokens', async () => {
  const lines: string[] = [];
  const write = process.stdout.write.bind(process.stdout);
  process.stdout.write = (text: string) => lines.push(text) > 0;
  try {
    const server = await startServer('memory', { environment: { RUNDLET_LOG: 'info' } });
    const person = await server.signedIn('keep');
    await problemOf(
      server.nobody.call(api.session.signIn, {
        body: { signInName: 'x', password: 'the secret pass phrase' },
      }),
    );
    await person.call(api.casks.scan, { query: { text: 'looked-for' } });
    await problemOf(
      person.call(api.journal.submit, {
        body: act('cask.note', { caskId: newId(), text: 'private remark' }),
      }),
    );
    await server.stop();
    const said = lines.filter((line) => line.startsWith('{"at"'));
    expect(said.map((line) => (JSON.parse(line) as { message: string }).message)).toContain(
      'sign-in refused',
    );
    const requests = said
      .map((line) => JSON.parse(line) as Record<string, unknown>)
      .filter((l) => l['message'] === 'request');
    expect(requests).toContainEqual(
      having({
        method: 'GET',
        path: '/api/casks/scan'.replace('/casks', ''),
        status: 200,
        actorId: aText,
        requestId: aText,
      }),
    );
    expect(said.join('')).not.toMatch(
      /pass phrase|password of|looked-for|private remark|rundlet_session/,
    );
  } finally {
    process.stdout.write = write;
  }
});

describe('settings', () => {
  const read = (environment: Record<string, string>) =>
    settingsFrom(environment, { webFolder: '/web' });

  test('have defaults for a first start', () => {
    expect(read({ RUNDLET_DATA: '/data', PORT: '' })).toMatchObject({
      databaseUrl: 'sqlite:/data/rundlet.sqlite',
      host: '127.0.0.1',
      port: 3000,
      estateName: 'The estate',
      demo: false,
      tls: null,
      webFolder: '/web',
    });
    expect(read({ RUNDLET_DEMO: '1' }).estateName).toBe('Harrow Point');
    expect(read({ RUNDLET_ORIGIN: 'https://casks.harrowpoint.example/' }).origin).toBe(
      'https://casks.harrowpoint.example',
    );
  });

  test.each([
    [{ PORT: '70000' }, 'PORT must be at most 65535; it is "70000"'],
    [{ PORT: 'http' }, 'PORT must be a number'],
    [{ RUNDLET_METRICS_TOKEN: 'short' }, 'RUNDLET_METRICS_TOKEN must be at least 16 characters.'],
    [{ DATABASE_URL: 'mysql://x' }, 'DATABASE_URL must begin with sqlite: or postgres://'],
    [{ RUNDLET_ORIGIN: 'casks.example' }, 'RUNDLET_ORIGIN must be scheme and host'],
    [{ RUNDLET_ORIGIN: 'https://casks.example/rundlet' }, 'RUNDLET_ORIGIN'],
    [{ RUNDLET_COMPANY_PREFIX: 'abc' }, 'RUNDLET_COMPANY_PREFIX must be the 4 to 12 digits'],
    [{ RUNDLET_DEMO: 'yes' }, 'RUNDLET_DEMO must be 1 or 0'],
    [{ RUNDLET_TLS_CERT: '/cert.pem' }, 'RUNDLET_TLS_CERT and RUNDLET_TLS_KEY belong together'],
  ])('%j are refused in words', (environment, message) => {
    expect(() => read(environment as Record<string, string>)).toThrow(SettingsError);
    expect(() => read(environment as Record<string, string>)).toThrow(message);
  });

  test('name every variable that is wrong at once', () => {
    expect(() => read({ PORT: '-1', RUNDLET_DEMO: 'x' })).toThrow(/PORT[^\n]*\nRUNDLET_DEMO/);
  });
});
