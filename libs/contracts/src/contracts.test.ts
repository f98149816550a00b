import { expect, test } from 'vitest';
import { z } from 'zod';
import { Act, ACT_KINDS, ActBody, api, RECORDS, type Endpoint } from './index.ts';

const id = '0190f2a0-0000-7000-8000-000000000001';

test('an act with an unknown field or a wrong unit is refused at the field', () => {
  const bad = Act.safeParse({
    id,
    kind: 'cask.move',
    happenedAt: '2026-03-01T09:30:00.000Z',
    body: { caskId: id, positionId: id, to: 'x' },
  });
  expect(bad.success).toBe(false);
  const strong = Act.safeParse({
    id,
    kind: 'cask.gauge',
    happenedAt: '2026-03-01T09:30:00.000Z',
    body: {
      caskId: id,
      readings: { method: 'declared', bulkLitresAt20C: 200, strengthPercentVol: 400 },
    },
  });
  expect(strong.error?.issues[0]?.path).toEqual(['body', 'readings', 'strengthPercentVol']);
  expect(strong.error?.issues[0]?.message).toContain('at most 100 % vol');
});

test('every act body, record and endpoint can be described as JSON Schema', () => {
  for (const kind of ACT_KINDS) {
    const schema = z.toJSONSchema(ActBody[kind]);
    for (const one of schema.oneOf ?? [schema]) expect(one, kind).toMatchObject({ type: 'object' });
  }
  for (const record of Object.values(RECORDS)) expect(z.toJSONSchema(record).type).toBe('object');
  const endpoints = Object.values(api).flatMap((feature) => Object.values<Endpoint>(feature));
  for (const e of endpoints) expect(() => z.toJSONSchema(e.query, { io: 'input' })).not.toThrow();
  const routes = endpoints.map((e) => `${e.method} ${e.path}`);
  expect(new Set(routes).size).toBe(routes.length);
});
