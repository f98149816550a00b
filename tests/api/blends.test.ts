import { liquidFromVolume, mix, volumeOfLiquid } from '@rundlet/alcoholometry';
import { api, type BlendAnswer, type Job } from '@rundlet/contracts';
import type { Client } from '@rundlet/client';
import { makeVatCode } from '@rundlet/identifiers';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { databases } from '../support/database.ts';
import { problemOf, startServer, type TestServer } from '../support/server.ts';
import {
  act,
  doActs,
  layDownSmallEstate,
  newId,
  type SmallEstate,
} from '../support/small-estate.ts';

const { blends, jobs } = api;
/** Whole casks of two sizes hit no narrow window; a tenth either way they do. */
const TARGET = { bulkLitresAt20C: 1000, volumeTolerancePercent: 10, strengthPercentVol: 46 };
const NOW = '2026-03-02T09:00:00.000Z';

export async function finished(client: Client, jobId: string): Promise<Job> {
  for (;;) {
    const job = await client.call(jobs.get, { params: { id: jobId } });
    if (job.finishedAt !== null) return job;
    await new Promise((go) => setTimeout(go, 50));
  }
}

describe.each(databases)('blends on %s', (kind) => {
  let server: TestServer;
  let blender: Client;
  let keeper: Client;
  let estate: SmallEstate;
  beforeAll(async () => {
    server = await startServer(kind, { now: () => new Date(NOW) });
    keeper = await server.as('keep');
    blender = await server.as('blend');
    // 13 filled casks: barrels without a history of their own and hogsheads that held wine, by turns.
    estate = await layDownSmallEstate(keeper, { casks: 14 });
  });
  afterAll(() => server.stop());

  const ask = async (request: Record<string, unknown>): Promise<BlendAnswer> => {
    const body = {
      blendOn: '2026-11-01',
      target: TARGET,
      ...request,
    };
    const { jobId } = await blender.call(blends.solve, { body: body });
    const job = await finished(blender, jobId);
    expect(job).toMatchObject({ status: 'done', error: null, progress: 1 });
    return job.result as BlendAnswer;
  };
  /** The vat by alcoholometry alone: the parts' masses and the water's, mixed. */
  const vatOf = (answer: BlendAnswer) =>
    volumeOfLiquid(
      mix(
        ...answer.parts.map((p) => liquidFromVolume(p.takeLitresAt20C, p.strengthPercentVol)),
        liquidFromVolume(answer.waterLitresAt20C, 0),
      ),
    );

  test('a plan is proven best, in its windows, and its vat is what alcoholometry makes of its casks and water', async () => {
    const answer = await ask({});
    expect(answer.status).toBe('proven-best');
    expect(answer.gap).toBe(0);
    expect(answer.candidates).toBe(13);
    const vat = vatOf(answer);
    expect(answer.result?.bulkLitresAt20C).toBeCloseTo(vat.bulkLitresAt20C, 6);
    expect(answer.result?.strengthPercentVol).toBeCloseTo(vat.strengthPercentVol, 6);
    expect(vat.bulkLitresAt20C).toBeGreaterThanOrEqual(900 - 1e-6);
    expect(vat.bulkLitresAt20C).toBeLessThanOrEqual(1100 + 1e-6);
    expect(Math.abs(vat.strengthPercentVol - 46)).toBeLessThanOrEqual(0.05 + 1e-6);
    // Reducing some 61 % vol to 46 contracts by 0.7 to 1 % (OIML R 22 densities).
    expect((answer.result?.contractionLitres ?? 0) / 1000).toBeGreaterThan(0.004);
    expect((answer.result?.contractionLitres ?? 0) / 1000).toBeLessThan(0.012);
    for (const part of answer.parts) {
      expect(part.whole).toBe(true);
      expect(part.ageYears).toBeCloseTo(6.49, 1);
      // Six and a half years of Atlantic store: something is gone, not half of it.
      expect(part.takeLitresAt20C).toBeGreaterThan(130);
      expect(part.takeLitresAt20C).toBeLessThan(200);
    }
    expect(answer.parts.reduce((sum, p) => sum + p.shareOfAlcohol, 0)).toBeCloseTo(1, 9);
    expect(answer.parts.map((p) => p.walkOrder)).toEqual(
      [...answer.parts.map((p) => p.walkOrder)].sort((a, b) => (a ?? 0) - (b ?? 0)),
    );
    for (const attribute of [
      'plot',
      'variety',
      'harvestYear',
      'spiritLot',
      'account',
      'store',
      'zone',
      'woodSpecies',
      'previousContents',
    ]) {
      const shares = answer.shares.filter((s) => s.attribute === attribute);
      expect(
        shares.reduce((sum, s) => sum + s.share, 0),
        attribute,
      ).toBeCloseTo(1, 9);
    }
    expect(answer.shares).toContainEqual({
      attribute: 'variety',
      value: 'Tern Russet',
      share: expect.closeTo(1, 9) as number,
    });
    expect(answer.shares).toContainEqual({
      attribute: 'harvestYear',
      value: '2019',
      share: expect.closeTo(1, 9) as number,
    });
    const { interval } = answer;
    expect(interval?.bulkLow90).toBeLessThan(answer.result?.bulkLitresAt20C ?? 0);
    expect(interval?.bulkHigh90).toBeGreaterThan(answer.result?.bulkLitresAt20C ?? 0);
    expect(interval?.chanceWithinTolerance).toBeGreaterThan(0);
    expect(interval?.chanceWithinTolerance).toBeLessThanOrEqual(1);
  });

  test('shares, counts, casks in and out by hand, the fewest casks', async () => {
    const [first = '', second = ''] = estate.caskIds;
    const answer = await ask({
      // Wide, so that the forecast's own figures don't decide whether whole casks fit.
      target: {
        bulkLitresAt20C: 1000,
        volumeTolerancePercent: 20,
        strengthPercentVol: 46,
        strengthTolerancePercentVol: 0.05,
      },
      shares: [{ attribute: 'previousContents', value: 'wine', atMostPercent: 30 }],
      include: [first],
      exclude: [second],
      aim: 'fewest-casks',
    });
    expect(answer.status).toBe('proven-best');
    const wine =
      answer.shares.find((s) => s.attribute === 'previousContents' && s.value === 'wine')?.share ??
      0;
    expect(wine).toBeLessThanOrEqual(0.3 + 1e-9);
    const used = answer.parts.map((p) => p.caskId);
    expect(used).toContain(first);
    expect(used).not.toContain(second);
    expect(answer.objective).toMatchObject({
      aim: 'fewest-casks',
      value: used.length,
      unit: 'casks',
    });
    expect(answer.excluded).toContainEqual({ reason: 'left alone by hand', casks: 1 });
  });

  test('part casks reach a target that whole casks miss', async () => {
    const target = {
      bulkLitresAt20C: 500,
      volumeTolerancePercent: 0.001,
      strengthPercentVol: 50,
      strengthTolerancePercentVol: 0.001,
    };
    const answer = await ask({ target, parts: 'both', leastPartLitres: 10 });
    expect(answer.status).toBe('proven-best');
    expect(vatOf(answer).bulkLitresAt20C).toBeCloseTo(500, 2);
    expect(Math.abs(vatOf(answer).strengthPercentVol - 50)).toBeLessThanOrEqual(0.001 + 1e-6);
  });

  test('no plan: the wishes that conflict, in words, each with the least change that opens one', async () => {
    const answer = await ask({ youngestYears: 8 });
    expect(answer.status).toBe('infeasible');
    expect(answer.parts).toEqual([]);
    expect(answer.result).toBeNull();
    expect(answer.excluded).toContainEqual({ reason: 'younger than 8 years', casks: 13 });
    const age = answer.conflict.find((c) => /year/.test(c.wish));
    expect(age?.enoughAlone).toBe(true);
    expect(age?.relaxation).toMatch(/6\.4\d*|6\.5/);
  });

  test('casks on hold and reserved casks are not planned with', async () => {
    const [held = ''] = estate.caskIds.slice(2);
    await doActs(keeper, [act('cask.hold', { caskId: held, reason: 'tasting panel' })]);
    const answer = await ask({ aim: 'fewest-casks' });
    expect(answer.excluded).toContainEqual({ reason: 'on hold', casks: 1 });
    expect(answer.parts.map((p) => p.caskId)).not.toContain(held);
    await doActs(keeper, [
      act('cask.hold', { caskId: held, reason: null }, { happenedAt: '2026-03-01T10:00:00.000Z' }),
    ]);
  });

  test('from request to vat: save, reserve, pick in walking order, draw, trim, complete, origins', async () => {
    const answer = await ask({ aim: 'fewest-casks' });
    const planId = newId();
    const vatId = newId();
    const body = {
      blendOn: '2026-11-01',
      target: TARGET,
    };
    await doActs(keeper, [
      act('vat.register', {
        id: vatId,
        code: makeVatCode(77),
        name: 'Blending vat',
        storeId: estate.storeId,
        accountId: estate.accountId,
        capacityLitres: 5000,
      }),
      act('plan.save', {
        id: planId,
        code: 'BP-1',
        name: 'Shoreward',
        blendOn: '2026-11-01',
        targetLitresAt20C: 1000,
        targetStrengthPercentVol: 46,
        request: body,
        answer: answer,
        parts: answer.parts.map((p) => ({
          fillingId: p.fillingId,
          bulkLitresAt20C: p.takeLitresAt20C,
          strengthPercentVol: p.strengthPercentVol,
          whole: p.whole,
        })),
        waterLitresAt20C: answer.waterLitresAt20C,
      }),
      act('plan.reserve', { planId, vatId }),
    ]);
    const { rows } = await blender.call(blends.plans, { query: {} });
    expect(rows[0]).toMatchObject({ id: planId, status: 'reserved' });
    const view = await blender.call(blends.plan, { params: { id: planId } });
    expect(view.picks.map((p) => p.caskId)).toEqual(answer.parts.map((p) => p.caskId));
    expect(view.picks.every((p) => !p.drawn && p.row !== null)).toBe(true);
    // Nobody else plans with reserved casks.
    const other = await ask({ aim: 'fewest-casks' });
    expect(other.parts.map((p) => p.caskId)).not.toEqual(
      expect.arrayContaining([answer.parts[0]?.caskId]),
    );
    expect(other.excluded).toContainEqual({
      reason: 'reserved for another plan',
      casks: answer.parts.length,
    });
    const before = await blender.call(blends.trim, { params: { id: planId } });
    // The plan may use its strength window, the trim steers to 46 % vol itself: 0.05 of 46 is 0.11 % of the litres.
    expect(Math.abs(before.waterLitresAt20C - answer.waterLitresAt20C)).toBeLessThan(3);
    // Each cask turns out to hold 160 L at 60 % vol.
    const happenedAt = '2026-03-01T12:00:00.000Z';
    await doActs(
      keeper,
      answer.parts.map((p) =>
        act(
          'cask.disgorge',
          {
            caskId: p.caskId,
            vatId,
            planId,
            bulkLitresAt20C: null,
            readings: { method: 'declared', bulkLitresAt20C: 160, strengthPercentVol: 60 },
          },
          { happenedAt },
        ),
      ),
    );
    expect(
      (await blender.call(blends.plan, { params: { id: planId } })).picks.every((p) => p.drawn),
    ).toBe(true);
    const trim = await blender.call(blends.trim, { params: { id: planId } });
    const n = answer.parts.length;
    expect(trim.vatLitresAt20C).toBeCloseTo(160 * n, 4);
    expect(trim.vatStrengthPercentVol).toBeCloseTo(60, 5);
    if (trim.reachable) {
      const after = volumeOfLiquid(
        mix(liquidFromVolume(160 * n, 60), { ethanolKg: 0, waterKg: trim.waterKg }),
      );
      expect(trim.resultLitresAt20C).toBeCloseTo(after.bulkLitresAt20C, 4);
      expect(trim.resultStrengthPercentVol).toBeCloseTo(after.strengthPercentVol, 5);
    } else expect(trim.message).toMatch(/pure alcohol/);
    const blendId = newId();
    await doActs(keeper, [
      act(
        'plan.complete',
        {
          planId,
          blendId,
          code: 'BL-1',
          name: 'Shoreward',
          readings: { method: 'declared', bulkLitresAt20C: 160 * n, strengthPercentVol: 60 },
        },
        { happenedAt: '2026-03-01T13:00:00.000Z' },
      ),
    ]);
    const made = await blender.call(blends.blend, { params: { id: blendId } });
    expect(made.blend.fillings).toHaveLength(n);
    expect(made.origins.plots).toEqual([
      expect.objectContaining({ id: estate.plotId, share: expect.closeTo(1, 9) as number }),
    ]);
    expect((await blender.call(blends.blends, { query: {} })).rows.map((b) => b.id)).toEqual([
      blendId,
    ]);
  });

  test('a day that is past, a reader, an unknown plan', async () => {
    const body = {
      blendOn: '2026-03-01',
      target: { bulkLitresAt20C: 1000, strengthPercentVol: 46 },
    };
    expect(await problemOf(blender.call(blends.solve, { body }))).toMatchObject({
      status: 422,
      type: '/problems/blend-in-the-past',
    });
    const reader = await server.as('read');
    expect(
      (await problemOf(reader.call(blends.solve, { body: { ...body, blendOn: '2026-04-01' } })))
        .status,
    ).toBe(403);
    expect((await problemOf(reader.call(blends.plan, { params: { id: newId() } }))).status).toBe(
      404,
    );
    expect(
      (
        await problemOf(
          blender.call(blends.solve, {
            body: { ...body, target: { bulkLitresAt20C: 1000, strengthPercentVol: 400 } },
          }),
        )
      ).status,
    ).toBe(400);
  });
});
