import { api } from '@rundlet/contracts';
import { waterSaturationPa } from '@rundlet/maturation';
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

const { maturation } = api;

/** Rows every half hour over some days; temperature and humidity by the hour of the day. */
function series(
  from: string,
  days: number,
  write: (at: Date, temperatureC: number, percent: number) => string,
): string[] {
  const start = Date.parse(from);
  return Array.from({ length: days * 48 }, (_, i) => {
    const at = new Date(start + i * 1_800_000);
    const hour = at.getUTCHours() + at.getUTCMinutes() / 60;
    const swing = Math.sin((2 * Math.PI * (hour - 9)) / 24);
    return write(at, 12 + 2 * swing, 75 - 5 * swing);
  });
}
const iso = (at: Date): string => at.toISOString();

describe.each(databases)('climate on %s', (kind) => {
  let server: TestServer;
  let estate: SmallEstate;
  beforeAll(async () => {
    server = await startServer(kind);
    const keeper = await server.as('keep');
    estate = await layDownSmallEstate(keeper);
  });
  afterAll(() => server.stop());

  const importCsv = async (
    csv: string,
    more: { apply?: boolean; actId?: string; zoneId?: string } = {},
  ) => {
    const hand = await server.as('warehouse');
    const { apply = true, actId = newId(), zoneId = estate.zoneId } = more;
    return hand.call(maturation.importClimate, {
      params: { id: zoneId },
      body: { actId, logger: 'Logger 7', csv, apply },
    });
  };
  const view = async (zoneId = estate.zoneId, query = {}) =>
    (await server.as('read')).call(maturation.climate, { params: { id: zoneId }, query });
  const newZone = async (): Promise<string> => {
    const id = newId();
    const keeper = await server.as('keep');
    const code = `Z${id.slice(-6).toUpperCase()}`;
    await doActs(keeper, [
      act('zone.register', { id, storeId: estate.storeId, code, name: 'Another floor', floor: 1 }),
    ]);
    return id;
  };

  test('a rehearsal reads and reports and writes nothing', async () => {
    const csv = [
      'time,temperature (°C),relative humidity (%)',
      ...series(
        '2025-01-01T00:00:00Z',
        3,
        (at, t, h) => `${iso(at)},${t.toFixed(2)},${h.toFixed(1)}`,
      ),
    ].join('\n');
    const report = await importCsv(csv, { apply: false });
    expect(report).toMatchObject({
      rowsRead: 144,
      rowsAccepted: 144,
      rejectedCount: 0,
      applied: false,
      days: 3,
      firstAt: '2025-01-01T00:00:00.000Z',
    });
    expect((await view()).days).toEqual([]);
  });

  test('a file is imported once, however often it is sent, and shown by day, month and gap', async () => {
    const zoneId = await newZone();
    const rows = [
      ...series(
        '2025-01-01T00:00:00Z',
        31,
        (at, t, h) => `${iso(at)},${t.toFixed(3)},${h.toFixed(3)}`,
      ),
      ...series(
        '2025-02-05T00:00:00Z',
        10,
        (at, t, h) => `${iso(at)},${t.toFixed(3)},${h.toFixed(3)}`,
      ),
    ];
    const csv = ['time,temperature (°C),relative humidity (%)', ...rows].join('\n');
    const actId = newId();
    const first = await importCsv(csv, { actId, zoneId });
    expect(first).toMatchObject({ applied: true, rowsAccepted: 41 * 48 });
    const again = await importCsv(csv, { actId, zoneId });
    expect(again.applied).toBe(true);
    expect(again.remarks.join(' ')).toContain('imported');
    await importCsv(csv, { zoneId });
    const seen = await view(zoneId);
    expect(seen.imports).toHaveLength(1);
    expect(seen.days).toHaveLength(41);
    expect(seen.gaps).toEqual([{ from: '2025-02-01', to: '2025-02-04', days: 4 }]);
    expect(seen.days[0]?.meanC).toBeCloseTo(12, 3);
    expect(seen.days[0]?.maxC).toBeCloseTo(14, 3);
    expect(seen.months.map((m) => [m.month, m.measuredShare])).toEqual([
      ['2025-01', 1],
      ['2025-02', expect.closeTo(10 / 28, 6) as number],
    ]);
    // Humidity of the month is that of the mean vapour pressures, by our own sums over the same readings.
    let vapour = 0;
    let saturation = 0;
    for (const row of rows.slice(0, 31 * 48)) {
      const [, t, h] = row.split(',').map(Number) as [number, number, number];
      vapour += (waterSaturationPa(t) * h) / 100;
      saturation += waterSaturationPa(t);
    }
    expect(seen.months[0]?.relativeHumidityPercent).toBeCloseTo((100 * vapour) / saturation, 6);
    const part = await view(zoneId, { from: '2025-02-01', to: '2025-02-06' });
    expect(part.days.map((d) => d.on)).toEqual(['2025-02-05', '2025-02-06']);
  });

  test('semicolons, decimal commas, day-first dates and German names', async () => {
    const zoneId = await newZone();
    const comma = (v: number): string => v.toFixed(1).replace('.', ',');
    const csv = [
      'Datenlogger 4711;;',
      'Datum/Uhrzeit;Temperatur [°C];Rel. Feuchte [%]',
      ...series('2025-01-01T00:00:00Z', 40, (at, t, h) => {
        const [date, time] = [iso(at).slice(0, 10), iso(at).slice(11, 16)];
        return `${date.split('-').reverse().join('.')} ${time};${comma(t)};${comma(h)}`;
      }),
    ].join('\r\n');
    const report = await importCsv(csv, { zoneId });
    expect(report).toMatchObject({ rowsAccepted: 40 * 48, rejectedCount: 0, applied: true });
    // Lisbon keeps UTC in winter.
    expect(report.firstAt).toBe('2025-01-01T00:00:00.000Z');
    const { days } = await view(zoneId);
    expect(days).toHaveLength(40);
    expect(days[20]?.meanC).toBeCloseTo(12, 1);
    expect(days[20]?.relativeHumidityPercent).toBeCloseTo(75, 1);
  });

  test('degrees Fahrenheit, separate date and time columns, month first, a dew point to be left alone', async () => {
    const zoneId = await newZone();
    const csv = [
      'Date,Time,Dew Point °F,Temp °F,RH %',
      ...series('2025-03-20T00:00:00Z', 5, (at, t, h) => {
        const [y, m, d] = iso(at).slice(0, 10).split('-');
        const hour = at.getUTCHours();
        const time = `${String(hour % 12 || 12)}:${iso(at).slice(14, 16)} ${hour < 12 ? 'AM' : 'PM'}`;
        return `${String(m)}/${String(d)}/${String(y)},${time},40.0,${(t * 1.8 + 32).toFixed(2)},${h.toFixed(1)}`;
      }),
    ].join('\n');
    const report = await importCsv(csv, { zoneId });
    expect(report).toMatchObject({
      rowsAccepted: 240,
      rejectedCount: 0,
      firstAt: '2025-03-20T00:00:00.000Z',
    });
    expect((await view(zoneId)).days[1]?.meanC).toBeCloseTo(12, 1);
  });

  test('Fahrenheit and swapped columns that no header tells are found out', async () => {
    const fahrenheit = await newZone();
    await importCsv(
      [
        'time,temperature,humidity',
        ...series(
          '2025-01-01T00:00:00Z',
          60,
          (at, t, h) => `${iso(at)},${(t * 1.8 + 32).toFixed(2)},${h.toFixed(1)}`,
        ),
      ].join('\n'),
      { zoneId: fahrenheit },
    );
    expect((await view(fahrenheit)).days[5]?.meanC).toBeCloseTo(12, 1);
    const swapped = await newZone();
    const report = await importCsv(
      [
        'time,temperature,humidity',
        ...series(
          '2025-01-01T00:00:00Z',
          60,
          (at, t, h) => `${iso(at)},${h.toFixed(1)},${t.toFixed(2)}`,
        ),
      ].join('\n'),
      { zoneId: swapped },
    );
    expect((await view(swapped)).days[5]).toMatchObject({
      meanC: expect.closeTo(12, 1) as number,
      relativeHumidityPercent: expect.closeTo(75, 1) as number,
    });
    expect(report.remarks.join(' ')).not.toBe('');
  });

  test('wall-clock times go over the change of the clock: 23 and 25 hours', async () => {
    const zoneId = await newZone();
    // Lisbon 2025: forward on 30 March at 01:00, back on 26 October at 02:00 (EU directive 2000/84/EC).
    const wall = (from: string, hours: number): string[] => {
      const format = new Intl.DateTimeFormat('sv-SE', {
        timeZone: 'Europe/Lisbon',
        dateStyle: 'short',
        timeStyle: 'short',
      });
      return Array.from(
        { length: hours },
        (_, i) => `${format.format(Date.parse(from) + i * 3_600_000)},10.0,80.0`,
      );
    };
    const csv = [
      'time,temperature_c,rh',
      ...wall('2025-03-29T00:00:00Z', 72),
      ...wall('2025-10-25T00:00:00Z', 72),
    ].join('\n');
    const report = await importCsv(csv, { zoneId });
    expect(report).toMatchObject({
      rowsAccepted: 144,
      rejectedCount: 0,
      firstAt: '2025-03-29T00:00:00.000Z',
      lastAt: '2025-10-27T23:00:00.000Z',
    });
    expect(report.remarks.join(' ')).not.toMatch(/averaged/);
  });

  test('a logger that keeps standard time is noticed', async () => {
    const zoneId = await newZone();
    const csv = [
      'time,temperature_c,rh',
      ...series(
        '2025-03-25T00:00:00Z',
        10,
        (at, t, h) => `${iso(at).slice(0, 16).replace('T', ' ')},${t.toFixed(1)},${h.toFixed(1)}`,
      ),
    ].join('\n');
    const report = await importCsv(csv, { zoneId });
    expect(report.lastAt).toBe('2025-04-03T23:30:00.000Z');
    expect(report.remarks.join(' ')).toContain('standard time');
  });

  test('broken rows are named by line and reason; the rest is taken', async () => {
    const zoneId = await newZone();
    const csv = [
      'time,temperature (°C),relative humidity (%)',
      '2025-01-01 00:00,11.9,80',
      'yesterday,12,80',
      '2025-01-01 02:00,,80',
      '2025-01-01 03:00,error,80',
      '2025-01-01 04:00,12.1,180',
      '2025-01-01 05:00,400,80',
      '2125-01-01 06:00,12,80',
      '',
      '2025-01-01 07:00,12.2,81',
    ].join('\n');
    const report = await importCsv(csv, { zoneId });
    expect(report).toMatchObject({ rowsRead: 8, rowsAccepted: 2, rejectedCount: 6, applied: true });
    expect(report.rejected.map((r) => r.line)).toEqual([3, 4, 5, 6, 7, 8]);
    expect(report.rejected.map((r) => r.reason)).toEqual([
      expect.stringContaining('yesterday') as string,
      expect.stringContaining('missing') as string,
      expect.stringContaining('error') as string,
      expect.stringContaining('0 to 100 %') as string,
      expect.stringContaining('−60 to 80') as string,
      expect.stringContaining('future') as string,
    ]);
  });

  test('a file without usable columns is refused with what is lacking', async () => {
    const report = await importCsv('time,temperature\n2025-01-01 00:00,12\n');
    expect(report).toMatchObject({ applied: false, rowsAccepted: 0 });
    expect(report.rejected[0]?.reason).toContain('relative humidity');
    expect((await importCsv('hello\nworld\n')).rejected[0]?.reason).toContain('header');
  });

  test('an unknown zone, a reader without the role, an id used for something else', async () => {
    const reader = await server.as('read');
    expect(
      (await problemOf(reader.call(maturation.climate, { params: { id: newId() } }))).status,
    ).toBe(404);
    const body = {
      actId: newId(),
      logger: 'x',
      csv: 'time,temp,rh\n2025-01-01 00:00,1,50',
      apply: true,
    };
    expect(
      (
        await problemOf(
          reader.call(maturation.importClimate, { params: { id: estate.zoneId }, body }),
        )
      ).status,
    ).toBe(403);
    const hand = await server.as('warehouse');
    const used = (await hand.call(api.journal.list, { query: { limit: 1 } })).rows[0]?.id ?? '';
    const problem = await problemOf(
      hand.call(maturation.importClimate, {
        params: { id: estate.zoneId },
        body: { ...body, actId: used },
      }),
    );
    expect(problem.type).toBe('/problems/act-id-reused');
  });

  test('a hundred thousand readings go in within seconds, and others are answered meanwhile', async () => {
    const zoneId = await newZone();
    const csv = [
      'time,temp,rh',
      ...series(
        '2018-01-01T00:00:00Z',
        2083,
        (at, t, h) => `${iso(at)},${t.toFixed(1)},${h.toFixed(1)}`,
      ),
    ].join('\n');
    const reader = await server.as('read');
    let slowest = 0;
    let done = false;
    const importing = importCsv(csv, { zoneId }).finally(() => (done = true));
    const asking = (async () => {
      while (!done) {
        const began = performance.now();
        await reader.call(api.places.stores).catch(() => fetch(`${server.base}/health`));
        slowest = Math.max(slowest, performance.now() - began);
        await new Promise((go) => setTimeout(go, 20));
      }
    })();
    const began = performance.now();
    const report = await importing;
    await asking;
    console.info(
      `import of ${String(report.rowsAccepted)} readings: ${((performance.now() - began) / 1000).toFixed(1)} s, slowest other answer ${slowest.toFixed(0)} ms`,
    );
    expect(report.rowsAccepted).toBe(2083 * 48);
    expect(slowest).toBeLessThan(2000);
  });
});
