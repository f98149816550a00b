import type { Client } from '@rundlet/client';
import { api, type ActOf, type ForecastPoint, type Job } from '@rundlet/contracts';
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

const { maturation, jobs } = api;
const NOW = '2026-03-02T09:00:00.000Z';
const FILLED_ON = '2020-05-04';

async function finished(client: Client, jobId: string): Promise<Job> {
  for (;;) {
    const job = await client.call(jobs.get, { params: { id: jobId } });
    if (job.finishedAt !== null) return job;
    await new Promise((go) => setTimeout(go, 50));
  }
}
/** A steady loss of bulk and alcohol, in % a year of what is left, with a little of each cask's own. */
function gauge(caskId: string, i: number, takenAt: string, more: { litres?: number } = {}) {
  const years =
    (Date.parse(takenAt) - Date.parse(`${FILLED_ON}T10:00:00Z`)) / (365.25 * 86_400_000);
  const rate = 0.02 + 0.002 * ((i % 5) - 2);
  const bulkLitresAt20C = (200 - 3) * Math.exp(-rate * years) + (more.litres ?? 0);
  return act(
    'cask.gauge',
    {
      caskId,
      readings: {
        method: 'declared',
        bulkLitresAt20C: Math.round(bulkLitresAt20C * 10) / 10,
        strengthPercentVol: Math.round((63.5 - 0.35 * years) * 10) / 10,
        uncertaintyLitres: 0.8,
        uncertaintyPercentVol: 0.1,
      },
    } satisfies ActOf<'cask.gauge'>['body'],
    { happenedAt: takenAt },
  );
}

describe.each(databases)('maturation on %s', (kind) => {
  let server: TestServer;
  let estate: SmallEstate;
  let reader: Client;
  let blender: Client;
  let keeper: Client;
  beforeAll(async () => {
    server = await startServer(kind, { now: () => new Date(NOW) });
    keeper = await server.as('keep');
    blender = await server.as('blend');
    reader = await server.as('read');
    estate = await layDownSmallEstate(keeper, { casks: 15 });
  });
  afterAll(() => server.stop());

  const forecast = (caskId: string, query = {}) =>
    reader.call(maturation.filling, { params: { id: caskId }, query });

  test('without a regauge or a logger: published rates, an assumed climate, both said', async () => {
    const [caskId = ''] = estate.caskIds;
    const f = await forecast(caskId, { years: 5 });
    expect(f.calibrationId).toBe('priors');
    expect(f.climateMeasuredShare).toBe(0);
    expect(f.assumptions.join(' ')).toContain('75 % relative humidity were assumed');
    expect(f.assumptions.join(' ')).toContain('Nothing has been learnt');
    expect(f.assumptions.join(' ')).toContain('has not been regauged');
    // At the day of filling the forecast is the filling record.
    const first = f.points[0];
    expect(first?.on).toBe(FILLED_ON);
    expect(first?.bulkLitresAt20C.q50).toBeCloseTo(200, 0);
    expect(first?.strengthPercentVol.q50).toBeCloseTo(63.5, 1);
    expect(first?.litresPureAlcohol.q50).toBeCloseTo(127, 0);
    expect(f.points.at(-1)?.on).toBe('2031-03-02');
    const dates = f.points.map((p) => p.on);
    expect(dates).toEqual([...new Set(dates)].sort());
    for (const p of f.points)
      for (const q of [p.bulkLitresAt20C, p.strengthPercentVol, p.litresPureAlcohol]) {
        expect(q.q05).toBeLessThanOrEqual(q.q10);
        expect(q.q10).toBeLessThanOrEqual(q.q50);
        expect(q.q50).toBeLessThanOrEqual(q.q90);
        expect(q.q90).toBeLessThanOrEqual(q.q95);
      }
    // A 200 L cask loses some 1 to 4 % of its bulk a year in a temperate store: nearly eleven years lie between.
    const last = f.points.at(-1)?.bulkLitresAt20C.q50 ?? 0;
    expect(last).toBeGreaterThan(200 * (1 - 0.04) ** 10.8);
    expect(last).toBeLessThan(200 * (1 - 0.01) ** 10.8);
    expect(f.measured).toEqual([
      expect.objectContaining({ on: FILLED_ON, bulkLitresAt20C: 200, verdict: 'filled' }),
    ]);
    expect(f.stood).toEqual([]);
  });

  test('floors: crossed for certain when above, never when far below, a date in between', async () => {
    const [caskId = ''] = estate.caskIds;
    const above = await forecast(caskId, { years: 10, floorPercentVol: 63.4, leastLitres: 199 });
    expect(above.leastVolume?.never).toBeLessThan(0.05);
    expect(above.leastVolume?.q50).not.toBeNull();
    const below = await forecast(caskId, { years: 10, floorPercentVol: 20, leastLitres: 1 });
    expect(below.floor).toMatchObject({ threshold: 20, unit: '% vol', q50: null, q90: null });
    expect(below.floor.never).toBeGreaterThan(0.95);
    expect(below.leastVolume?.never).toBeGreaterThan(0.9);
  });

  test('no calibration, no verdict', async () => {
    const [caskId = ''] = estate.caskIds;
    const [result] = await doActs(keeper, [gauge(caskId, 0, '2022-05-04T10:00:00.000Z')]);
    expect(result?.entry?.outcome['verdict']).toBe('no-forecast');
  });

  test('learning from regauges is a job; afterwards forecasts rest on it', async () => {
    expect(await reader.call(maturation.calibration)).toMatchObject({
      id: 'priors',
      madeAt: null,
      fillings: 0,
      regauges: 0,
      jobId: null,
    });
    const acts = estate.caskIds
      .slice(0, 10)
      .flatMap((caskId, i) => [
        ...(i === 0 ? [] : [gauge(caskId, i, '2022-05-04T10:00:00.000Z')]),
        gauge(caskId, i, '2024-05-06T10:00:00.000Z'),
      ]);
    await doActs(keeper, acts);
    const { jobId } = await blender.call(maturation.calibrate);
    expect((await blender.call(maturation.calibrate)).jobId).toBe(jobId);
    const job = await finished(blender, jobId);
    expect(job).toMatchObject({ kind: 'calibrate', status: 'done', progress: 1, error: null });
    const calibration = await reader.call(maturation.calibration);
    expect(calibration).toMatchObject({ fillings: 14, regauges: 20, jobId: null });
    expect(calibration.id).toBe((job.result as { calibrationId: string }).calibrationId);
    expect(calibration.population).toHaveProperty('effects');
    const f = await forecast(estate.caskIds[3] ?? '');
    expect(f.calibrationId).toBe(calibration.id);
    expect(f.assumptions.join(' ')).toContain('20 regauges of 14 fillings');
    expect(f.measured).toHaveLength(3);
    // The account of the past goes through the readings it was told, within a few of their uncertainties.
    for (const m of f.measured) {
      const near = f.points.reduce((a, b) =>
        Math.abs(Date.parse(b.on) - Date.parse(m.on)) <
        Math.abs(Date.parse(a.on) - Date.parse(m.on))
          ? b
          : a,
      );
      expect(Math.abs(near.bulkLitresAt20C.q50 - m.bulkLitresAt20C)).toBeLessThan(4);
      expect(Math.abs(near.strengthPercentVol.q50 - m.strengthPercentVol)).toBeLessThan(0.5);
    }
    // What went, by cause, is what is missing.
    const {
      soakageLitres,
      ethanolLitres,
      waterLitres,
      leakLitres,
      samplesLitres,
      gaugeDifferenceLitres,
    } = f.lossToDate;
    const gone =
      soakageLitres +
      ethanolLitres +
      waterLitres +
      leakLitres +
      samplesLitres +
      gaugeDifferenceLitres;
    const now = f.points.find((p) => p.on > '2024-05-06')?.bulkLitresAt20C.q50 ?? 0;
    expect(gone).toBeCloseTo(200 - now, 0);
    expect(soakageLitres).toBeGreaterThan(0);
    // Regauged casks are known better than those that never were.
    const width = (g: typeof f): number => {
      const p = g.points.find((q) => q.on === '2027-03-01');
      return (p?.litresPureAlcohol.q95 ?? 0) - (p?.litresPureAlcohol.q05 ?? 0);
    };
    expect(width(f)).toBeLessThan(width(await forecast(estate.caskIds[12] ?? '')));
  });

  test('a gauge meets the forecast that stood, and the cask’s own forecast follows at once', async () => {
    const caskId = estate.caskIds[4] ?? '';
    const before = await forecast(caskId);
    const [result] = await doActs(keeper, [gauge(caskId, 4, '2026-02-20T10:00:00.000Z')]);
    const outcome = result?.entry?.outcome as {
      verdict: string;
      expected: {
        bulkLitresAt20C: number;
        low90: { bulkLitresAt20C: number };
        high90: { bulkLitresAt20C: number };
        calibrationId: string;
      };
    };
    expect(outcome.verdict).toBe('as-expected');
    expect(outcome.expected.calibrationId).toBe(before.calibrationId);
    const stood = before.points.find((p) => p.on === '2026-03-01');
    expect(outcome.expected.bulkLitresAt20C).toBeCloseTo(stood?.bulkLitresAt20C.q50 ?? 0, 0);
    expect(outcome.expected.low90.bulkLitresAt20C).toBeLessThan(outcome.expected.bulkLitresAt20C);
    expect(outcome.expected.high90.bulkLitresAt20C).toBeGreaterThan(
      outcome.expected.bulkLitresAt20C,
    );
    const after = await forecast(caskId);
    expect(after.stood).toEqual([
      {
        on: '2026-02-20',
        expected: expect.objectContaining({ calibrationId: before.calibrationId }) as object,
      },
    ]);
    expect(after.measured).toHaveLength(4);
    const at = (f: typeof after) => f.points.find((p) => p.on === '2027-03-01')?.litresPureAlcohol;
    expect((at(after)?.q95 ?? 0) - (at(after)?.q05 ?? 0)).toBeLessThan(
      (at(before)?.q95 ?? 0) - (at(before)?.q05 ?? 0),
    );
  });

  test('twenty litres missing is flagged when the gauge arrives; a slipped digit too', async () => {
    const leaking = estate.caskIds[5] ?? '';
    const [lost] = await doActs(keeper, [
      gauge(leaking, 5, '2026-02-20T10:00:00.000Z', { litres: -20 }),
    ]);
    expect(['possible-leak', 'possible-blunder']).toContain(lost?.entry?.outcome['verdict']);
    const slipped = estate.caskIds[6] ?? '';
    const [wrong] = await doActs(keeper, [
      act(
        'cask.gauge',
        {
          caskId: slipped,
          readings: { method: 'declared', bulkLitresAt20C: 118, strengthPercentVol: 36.4 },
        },
        { happenedAt: '2026-02-20T11:00:00.000Z' },
      ),
    ]);
    expect(wrong?.entry?.outcome['verdict']).toBe('possible-blunder');
  });

  test('a keeper’s word on a suspicion is kept, takes it off the list, and the forecast minds it', async () => {
    const [leaking = '', slipped = ''] = [estate.caskIds[5], estate.caskIds[6]];
    const open = async () => (await reader.call(maturation.suspicions)).rows;
    const of = async (caskId: string) => (await open()).find((row) => row.caskId === caskId);
    const [lost, wrong] = [await of(leaking), await of(slipped)];
    expect(lost?.surety?.probability).toBeGreaterThan(0.5);
    expect(wrong).toMatchObject({ verdict: 'possible-blunder', keeperVerdict: null });
    expect(wrong?.expected?.bulkLitresAt20C).toBeGreaterThan(150);
    const judge = (gaugeId: string, verdict: ActOf<'gauge.judge'>['body']['verdict']) =>
      act('gauge.judge', { gaugeId, verdict, reason: 'Seen by lamp light.' });
    await doActs(keeper, [judge(wrong?.gaugeId ?? '', 'regauge')]);
    expect(await of(slipped)).toMatchObject({ keeperVerdict: 'regauge' });
    const in2028 = async () =>
      (await forecast(leaking)).points.find((p) => p.on >= '2028-03-01')?.bulkLitresAt20C.q50 ?? 0;
    const doubted = await in2028();
    await doActs(keeper, [
      judge(wrong?.gaugeId ?? '', 'dismissed'),
      judge(lost?.gaugeId ?? '', 'leak'),
    ]);
    // A leak that was seen runs on until it is stopped.
    expect(await in2028()).toBeLessThan(doubted - 0.5);
    expect(await open()).toEqual([]);
    const { cask, events } = await reader.call(api.casks.card, { params: { id: leaking } });
    expect(cask.condition).toBe('leaking');
    expect(events.map((e) => e.kind)).toContain('leak-found');
    // Nothing is learnt from a reading set aside: the cask stands where it had been expected.
    const f = await forecast(slipped);
    expect(f.measured.at(-1)?.verdict).toBe('dismissed');
    const now = f.points.find((p) => p.on >= '2026-03-01')?.bulkLitresAt20C.q50 ?? 0;
    expect(Math.abs(now - (wrong?.expected?.bulkLitresAt20C ?? 0))).toBeLessThan(2);
    const words = (await reader.call(api.casks.card, { params: { id: leaking } })).history;
    expect(words.map((w) => w.words).join(' ')).toContain('A leak was confirmed');
  });

  test('what casks lose a year is told for those gauged since the fill', async () => {
    const { rows } = await reader.call(maturation.lossRates, {
      query: { storeId: estate.storeId },
    });
    const rate = (i: number) => rows.find((r) => r.caskId === estate.caskIds[i])?.percentPerYear;
    // Told 2 % of bulk a year and 0.35 % vol a year off 63.5: about 2.5 % of the alcohol.
    expect(rate(3)).toBeGreaterThan(2);
    expect(rate(3)).toBeLessThan(3.5);
    expect(rate(12)).toBeNull();
  });

  test('laboratory results lie beside the index of wood contact, with a line through three', async () => {
    const caskId = estate.caskIds[1] ?? '';
    const result = (value: number, at: string) =>
      act(
        'cask.result',
        {
          id: newId(),
          caskId,
          kind: 'laboratory',
          measure: 'total phenols',
          value,
          unit: 'mg/L',
          remark: null,
        },
        { happenedAt: at },
      );
    await doActs(blender, [
      result(110, '2021-05-04T10:00:00.000Z'),
      result(190, '2023-05-04T10:00:00.000Z'),
      result(260, '2025-05-04T10:00:00.000Z'),
    ]);
    const { results, fits } = await reader.call(maturation.woodContact, {
      params: { id: caskId },
      query: { years: 2 },
    });
    expect(results.map((r) => r.value)).toEqual([110, 190, 260]);
    expect(results[2]?.index).toBeGreaterThan(results[1]?.index ?? Infinity);
    expect(fits).toHaveLength(1);
    // Rising values on a rising index: the least-squares line rises and passes among them.
    const line = fits[0]?.line;
    expect(line?.slope).toBeGreaterThan(0);
    const middle = (line?.intercept ?? 0) + (line?.slope ?? 0) * (results[1]?.index ?? 0);
    expect(Math.abs(middle - 190)).toBeLessThan(25);
  });

  test('a gauge that comes late is held against what was known when it was taken', async () => {
    const caskId = estate.caskIds[7] ?? '';
    const [result] = await doActs(keeper, [gauge(caskId, 7, '2023-05-04T10:00:00.000Z')]);
    expect(result?.entry?.outcome['verdict']).toBe('as-expected');
    expect((await forecast(caskId)).measured.map((m) => m.on)).toEqual([
      FILLED_ON,
      '2022-05-04',
      '2023-05-04',
      '2024-05-06',
    ]);
  });

  test('samples, moves and top-ups are part of the past', async () => {
    const caskId = estate.caskIds[8] ?? '';
    const zoneId = newId();
    const positionId = newId();
    await doActs(keeper, [
      act('zone.register', {
        id: zoneId,
        storeId: estate.storeId,
        code: 'HP000-L',
        name: 'Loft',
        floor: 2,
      }),
      act('position.register', {
        zoneId,
        positions: [
          {
            id: positionId,
            code: 'P0000ZZZ',
            row: 'L',
            bay: '1',
            level: '1',
            slot: '1',
            capacity: 1,
            walkOrder: 5000,
          },
        ],
      }),
      act(
        'cask.sample',
        { caskId, sampleId: newId(), code: 'S-LOFT-1', bulkLitresAt20C: 4, purpose: 'panel' },
        { happenedAt: '2025-05-06T10:00:00.000Z' },
      ),
      act('cask.move', { caskId, positionId }, { happenedAt: '2025-06-06T10:00:00.000Z' }),
    ]);
    const f = await forecast(caskId);
    expect(f.lossToDate.samplesLitres).toBeCloseTo(4, 0);
    expect(f.assumptions.join(' ')).toContain('Loft');
    const [may, june] = ['2025-05-01', '2025-06-01'].map(
      (on) => f.points.find((p) => p.on === on)?.bulkLitresAt20C.q50 ?? 0,
    );
    expect((may ?? 0) - (june ?? 0)).toBeGreaterThan(4);
    expect((may ?? 0) - (june ?? 0)).toBeLessThan(5.5);
  });

  test('futures side by side: as things are, elsewhere, in another cask', async () => {
    const caskId = estate.caskIds[3] ?? '';
    const whatIf = (changes: Record<string, unknown>[]) =>
      reader.call(maturation.whatIf, {
        params: { id: caskId },
        body: { years: 5, changes: changes as never },
      });
    const { futures, assumptions } = await whatIf([
      {
        name: 'new barrel',
        on: '2026-04-01',
        toCask: {
          nominalLitres: 200,
          woodSpecies: 'Quercus alba',
          previousContents: 'none',
          fillNumber: 1,
        },
      },
      { name: 'same zone', on: '2026-04-01', toZoneId: estate.zoneId },
    ]);
    expect(futures.map((f) => f.name)).toEqual(['as things are', 'new barrel', 'same zone']);
    const autumn = futures.map(
      (f) => f.points.find((p) => p.on === '2026-10-01')?.litresPureAlcohol.q50 ?? NaN,
    );
    // New wood soaks again: a litre or more goes in half a year. Moving to where it stands changes nothing.
    expect(autumn[1]).toBeLessThan((autumn[0] ?? 0) - 1);
    expect(autumn[2]).toBeCloseTo(autumn[0] ?? 0, 0);
    expect(futures[1]?.points.find((p) => p.on < '2026-04-01')).toEqual(
      futures[0]?.points.find((p) => p.on < '2026-04-01'),
    );
    expect(assumptions.join(' ')).toContain('re-racked');
    const small = {
      nominalLitres: 50,
      woodSpecies: 'Quercus alba',
      previousContents: 'none',
      fillNumber: 1,
    };
    expect(
      await problemOf(whatIf([{ name: 'too small', on: '2026-04-01', toCask: small }])),
    ).toMatchObject({ status: 422, type: '/problems/overfilled' });
    expect(
      await problemOf(whatIf([{ name: 'too late', on: '2025-01-01', toZoneId: estate.zoneId }])),
    ).toMatchObject({ status: 422 });
    expect(
      (await problemOf(whatIf([{ name: 'nowhere', on: '2026-04-01', toZoneId: newId() }]))).status,
    ).toBe(404);
  });

  test('wood contact grows, says what it is, and is less in a second fill', async () => {
    const { points, assumptions } = await reader.call(maturation.woodContact, {
      params: { id: estate.caskIds[0] ?? '' },
      query: { years: 5 },
    });
    expect(points[0]).toMatchObject({ on: FILLED_ON, index: 0 });
    for (const [i, p] of points.entries())
      expect(p.index).toBeGreaterThanOrEqual(points[i - 1]?.index ?? 0);
    expect(assumptions.join(' ')).toContain('not of milligrams');
  });

  test('stock: the median of the sum is near the sum of medians, its interval narrower than the sum of intervals', async () => {
    const stock = await reader.call(maturation.stock, { query: { years: 3 } });
    expect(stock.casks).toBe(14);
    expect(stock.points.length).toBeGreaterThanOrEqual(36);
    const on = stock.points.at(-1)?.on ?? '';
    let [median, low, high] = [0, 0, 0];
    for (const caskId of estate.caskIds.slice(0, 14)) {
      const f = await forecast(caskId, { years: 5 });
      const p = f.points.find((q) => q.on === on)?.litresPureAlcohol;
      median += p?.q50 ?? NaN;
      low += p?.q05 ?? NaN;
      high += p?.q95 ?? NaN;
    }
    const sum = stock.points.at(-1)?.litresPureAlcohol;
    // Two of the casks may leak, so their means lie below their medians.
    expect(Math.abs((sum?.q50 ?? 0) - median) / median).toBeLessThan(0.03);
    expect(sum?.q05).toBeGreaterThan(low);
    expect(sum?.q95).toBeLessThan(high);
    expect(stock.belowFloor).toHaveLength(4);
    const zone = await reader.call(maturation.stock, {
      query: { zoneId: estate.zoneId, years: 3 },
    });
    expect(zone.casks).toBe(13);
    const began = performance.now();
    expect(await reader.call(maturation.stock, { query: { years: 3 } })).toEqual(stock);
    expect(performance.now() - began).toBeLessThan(500);
  });

  test('any filter is forecast, and a parcel under changes; long work says how far it is', async () => {
    const day = { filledFrom: FILLED_ON, filledTo: FILLED_ON };
    const until = async <T>(ask: () => Promise<{ answer: T | null }>): Promise<T> => {
      for (;;) {
        const { answer } = await ask();
        if (answer !== null) return answer;
      }
    };
    const soon = (query: object) =>
      until(() => reader.call(maturation.stockSoon, { query: { years: 2, ...query } }));
    expect((await soon({ ...day, fillNumber: 99 })).casks).toBe(0);
    const parcel = await soon(day);
    expect(parcel.casks).toBe(14);
    const tried = await until(() =>
      reader.call(maturation.stockWhatIf, {
        body: {
          scope: day,
          years: 2,
          changes: [
            {
              name: 'new barrels',
              on: '2026-04-01',
              toCask: {
                nominalLitres: 200,
                woodSpecies: 'Quercus alba',
                previousContents: 'none',
                fillNumber: 1,
              },
            },
          ],
        },
      }),
    );
    expect(tried.casks).toBe(14);
    expect(tried.futures.map((f) => f.name)).toEqual(['as things are', 'new barrels']);
    const autumn = (f: { points: readonly ForecastPoint[] } | undefined) =>
      f?.points.find((p) => p.on === '2026-10-01')?.litresPureAlcohol.q50 ?? NaN;
    const [asIs, anew] = tried.futures;
    // A stock's spreads run straight between a dozen dates; those of futures are worked out at each.
    expect(Math.abs(autumn(asIs) - autumn(parcel))).toBeLessThan(0.001 * autumn(parcel));
    // New wood soaks again, in every one of the fourteen: more than half a litre of alcohol each.
    expect(autumn(anew)).toBeLessThan(autumn(asIs) - 7);
  });

  test('the casks to gauge next are those of most doubt', async () => {
    const { rows } = await reader.call(maturation.regauge, { query: { count: 6 } });
    expect(rows).toHaveLength(6);
    // Four casks were never regauged; they know least.
    const never = estate.caskIds.slice(10, 14);
    expect(rows.filter((r) => never.includes(r.caskId)).length).toBeGreaterThanOrEqual(3);
    for (const row of rows) {
      expect(row.doubtRemovedLitresPureAlcohol).toBeGreaterThan(0);
      expect(row.doubtLitresPureAlcohol).toBeGreaterThan(0);
      expect(row.walkOrder).not.toBeNull();
    }
  });

  test('an empty cask, an unknown one, a reader who wants to calibrate', async () => {
    const empty = estate.caskIds[14] ?? '';
    expect(await problemOf(forecast(empty))).toMatchObject({
      status: 409,
      type: '/problems/cask-empty',
    });
    expect((await problemOf(forecast(newId()))).status).toBe(404);
    expect((await problemOf(reader.call(maturation.calibrate))).status).toBe(403);
    expect(
      (await problemOf(reader.call(maturation.stock, { query: { storeId: newId() } }))).status,
    ).toBe(404);
  });
});
