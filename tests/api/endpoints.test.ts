import { RequestMethod } from '@nestjs/common';
import { METHOD_METADATA, PATH_METADATA } from '@nestjs/common/constants.js';
import { ModulesContainer } from '@nestjs/core';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { api, ROLES, type Endpoint, type Role } from '@rundlet/contracts';
import { endpointOf } from '../../apps/server/src/platform/endpoint-handler.ts';
import { startServer, type TestServer } from '../support/server.ts';

const endpoints = Object.entries(api).flatMap(([feature, all]) =>
  Object.entries(all as Record<string, Endpoint>).map(([name, endpoint]) => ({
    name: `${feature}.${name}`,
    endpoint,
  })),
);
const ID = '0190f2a0-0000-7000-8000-000000000001';
/** A path that reaches the handler: what it says does not matter, only who may say it. */
const pathOf = ({ path }: Endpoint): string =>
  path
    .replace(
      ':kind',
      path.startsWith('/api/imports')
        ? 'casks'
        : path.startsWith('/api/exports')
          ? 'casks'
          : 'plot',
    )
    .replace(/:\w+/g, ID);

/** Roles as they include one another, written out: which of them may do what asks for each. */
const MAY: Record<Role, readonly Role[]> = {
  read: ['read', 'warehouse', 'blend', 'keep', 'administer'],
  warehouse: ['warehouse', 'blend', 'keep', 'administer'],
  blend: ['blend', 'keep', 'administer'],
  keep: ['keep', 'administer'],
  administer: ['administer'],
};

describe('every endpoint of the contracts', () => {
  let server: TestServer;
  const tokens = new Map<Role, string>();
  beforeAll(async () => {
    server = await startServer('file');
    const { Devices } = await import('../../apps/server/src/session/devices.ts');
    for (const role of ROLES)
      tokens.set(role, (await server.app.get(Devices).issue(role, [role], 'test')).secret);
  });
  afterAll(() => server.stop());

  const ask = (endpoint: Endpoint, role: Role | null) =>
    fetch(server.base + pathOf(endpoint), {
      method: endpoint.method,
      headers: {
        'content-type': 'application/json',
        ...(role === null ? {} : { authorization: `Bearer ${tokens.get(role) ?? ''}` }),
      },
      // A body no contract takes: nothing can be done by it.
      ...(endpoint.method === 'POST' ? { body: '{"no such field":1}' } : {}),
    });

  test('is served by exactly one method, and nothing is served beside them but health and documentation', () => {
    const served: Endpoint[] = [];
    const beside: string[] = [];
    for (const module of server.app.get(ModulesContainer).values())
      for (const { metatype } of module.controllers.values()) {
        const prototype = (metatype as { prototype: object }).prototype;
        for (const name of Object.getOwnPropertyNames(prototype)) {
          const method = (prototype as Record<string, unknown>)[name];
          if (
            typeof method !== 'function' ||
            Reflect.getMetadata(METHOD_METADATA, method) === undefined
          )
            continue;
          const endpoint = endpointOf(method);
          if (endpoint) served.push(endpoint);
          else
            beside.push(
              `${RequestMethod[Reflect.getMetadata(METHOD_METADATA, method) as number] ?? ''} ${String(Reflect.getMetadata(PATH_METADATA, metatype as object))} ${String(Reflect.getMetadata(PATH_METADATA, method))}`,
            );
        }
      }
    const times = endpoints.map(({ name, endpoint }) => [
      name,
      served.filter((e) => e === endpoint).length,
    ]);
    expect(times.filter(([, n]) => n !== 1)).toEqual([]);
    expect(served).toHaveLength(endpoints.length);
    expect(beside.sort()).toEqual([
      'GET / /health',
      'GET / /metrics',
      'GET / /ready',
      'GET /api docs',
      'GET /api docs.css',
      'GET /api openapi.json',
    ]);
  });

  test.each(endpoints)(
    '$name lets in whom its contract names, and nobody else',
    async ({ endpoint }) => {
      const { access } = endpoint;
      const stranger = await ask(endpoint, null);
      if (access === 'public') expect(stranger.status).not.toBe(403);
      else expect(stranger.status).toBe(401);
      for (const role of ROLES) {
        const { status } = await ask(endpoint, role);
        const may = access === 'public' || access === 'signed-in' || MAY[access].includes(role);
        if (may) expect(status, role).not.toBe(403);
        else expect(status, role).toBe(403);
        expect(status, role).toBeLessThan(500);
        if (may && access !== 'public') expect(status, role).not.toBe(401);
      }
    },
  );

  test('is described in OpenAPI 3.1, with its access', async () => {
    const document = (await (await fetch(`${server.base}/api/openapi.json`)).json()) as {
      openapi: string;
      paths: Record<string, Record<string, { operationId: string; security: unknown[] }>>;
    };
    expect(document.openapi).toMatch(/^3\.1\./);
    const described = Object.values(document.paths).flatMap((methods) => Object.values(methods));
    expect(described.map((o) => o.operationId).sort()).toEqual(endpoints.map((e) => e.name).sort());
    for (const { name, endpoint } of endpoints) {
      const operation =
        document.paths[endpoint.path.replace(/:(\w+)/g, '{$1}')]?.[endpoint.method.toLowerCase()];
      expect(operation?.operationId).toBe(name);
      expect(JSON.stringify(operation?.security) === '[{}]').toBe(endpoint.access === 'public');
    }
  });

  test('stands on the documentation page, which asks for nothing from elsewhere', async () => {
    const page = await (await fetch(`${server.base}/api/docs`)).text();
    for (const { endpoint } of endpoints) expect(page).toContain(`<code>${endpoint.path}</code>`);
    expect(page).not.toMatch(/<script|https?:\/\/(?!json-schema)/);
    expect((await fetch(`${server.base}/api/docs.css`)).headers.get('content-type')).toMatch(
      'text/css',
    );
  });
});
