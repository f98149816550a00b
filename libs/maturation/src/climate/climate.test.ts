import { describe, expect, test } from 'vitest';
import type { LoggerRow } from '../types.ts';
import { ethanolSaturationPa, waterSaturationPa } from '../vapour-pressure.ts';
import { climatology, climatologyFromNormals } from './climatology.ts';
import { reduceClimate } from './reduce.ts';
import { zoneClimate } from './zone-climate.ts';

/** A store's weather by the hour: seasons, days and a little weather, all of it known. */
function truth(minutes: number): { t: number; h: number } {
  const day = minutes / 1440;
  const t =
    11 -
    6 * Math.cos((2 * Math.PI * (day - 15)) / 365.25) +
    1.5 * Math.sin((2 * Math.PI * minutes) / 1440) +
    1.2 * Math.sin(day / 3.1);
  return { t, h: 78 - 4 * Math.sin((2 * Math.PI * minutes) / 1440) + 3 * Math.sin(day / 2.3) };
}

const stampOf = (minutes: number): string => new Date(minutes * 60000).toISOString().slice(0, 16);
const START = Date.parse('2021-01-01T00:00:00Z') / 60000;

function rows(days: number, stepMinutes = 60, fromDay = 0): LoggerRow[] {
  const out: LoggerRow[] = [];
  for (let m = START + fromDay * 1440; m < START + (fromDay + days) * 1440; m += stepMinutes) {
    const { t, h } = truth(m);
    out.push({
      at: stampOf(m),
      temperatureC: Math.round(t * 100) / 100,
      relativeHumidityPercent: Math.round(h * 10) / 10,
    });
  }
  return out;
}

const kinds = (list: LoggerRow[]): string[] => [
  ...new Set(reduceClimate(list).report.findings.map((f) => f.kind)),
];

const sameMonths = (a: LoggerRow[], b: LoggerRow[], digits = 2): void => {
  const x = reduceClimate(a).monthly;
  const y = reduceClimate(b).monthly;
  expect(x.map((m) => m.month)).toEqual(y.map((m) => m.month));
  x.forEach((m, i) => {
    expect(m.meanTemperatureC).toBeCloseTo(y[i]!.meanTemperatureC, digits);
    expect(m.waterVapourPa / y[i]!.waterVapourPa).toBeCloseTo(1, digits);
  });
};

describe('reduction', () => {
  test('averages vapour pressures, not temperatures', () => {
    const list = rows(31);
    const [january] = reduceClimate(list).monthly;
    const mean = (f: (r: LoggerRow) => number): number =>
      list.reduce((sum, r) => sum + f(r), 0) / list.length;
    const ethanol = mean((r) => ethanolSaturationPa(r.temperatureC!));
    expect(january!.ethanolSaturationPa).toBeCloseTo(ethanol, 6);
    expect(january!.waterSaturationPa).toBeCloseTo(
      mean((r) => waterSaturationPa(r.temperatureC!)),
      6,
    );
    expect(january!.waterVapourPa).toBeCloseTo(
      mean((r) => (waterSaturationPa(r.temperatureC!) * r.relativeHumidityPercent!) / 100),
      0,
    );
    expect(ethanol).toBeGreaterThan(ethanolSaturationPa(mean((r) => r.temperatureC!)));
    expect(january!.coveredShare).toBe(1);
  });

  test('a clean series has nothing to report', () => {
    const { report } = reduceClimate(rows(400));
    expect(report.findings).toEqual([]);
    expect(report).toMatchObject({ intervalMinutes: 60, daysExpected: 400, daysCovered: 400 });
  });

  test('any interval gives the same months', () => {
    sameMonths(rows(90, 10), rows(90, 60), 1);
    sameMonths(rows(90, 180), rows(90, 60), 1);
  });

  test('daily rows and no rows are taken', () => {
    expect(reduceClimate(rows(60, 1440)).report.intervalMinutes).toBe(1440);
    expect(reduceClimate([])).toMatchObject({ monthly: [], report: { rowsRead: 0, from: null } });
  });
});

describe('what goes wrong in logger files is seen, told and mended', () => {
  const clean = rows(120);

  test('a gap', () => {
    const list = clean.filter((_, i) => i < 600 || i >= 1200);
    const { report, monthly } = reduceClimate(list);
    expect(report.findings).toMatchObject([{ kind: 'gap', rows: 600, action: 'left-empty' }]);
    expect(monthly[1]!.coveredShare).toBeLessThan(0.9);
  });

  test('rows written twice', () => {
    const list = clean.flatMap((r, i) => (i % 50 === 0 ? [r, r] : [r]));
    expect(kinds(list)).toEqual(['duplicate']);
    sameMonths(list, clean);
  });

  test('two downloads that overlap and disagree', () => {
    const second = clean
      .slice(500, 900)
      .map((r) => ({ ...r, temperatureC: r.temperatureC! + 0.4 }));
    const { report } = reduceClimate([...clean, ...second]);
    expect(report.findings.find((f) => f.kind === 'overlap')).toMatchObject({
      rows: 400,
      action: 'averaged',
    });
  });

  test('rows out of order', () => {
    const list = [...clean.slice(1000), ...clean.slice(0, 1000)];
    expect(kinds(list)).toEqual(['out-of-order']);
    sameMonths(list, clean);
  });

  test('a clock put forward in spring and back in autumn', () => {
    const year = rows(330);
    const spring = Date.parse('2021-03-28T02:00:00Z') / 60000;
    const autumn = Date.parse('2021-10-31T03:00:00Z') / 60000;
    const list = year.map((r, i) => {
      const m = START + i * 60;
      return { ...r, at: stampOf(m >= spring && m < autumn - 60 ? m + 60 : m) };
    });
    const { report } = reduceClimate(list);
    const changes = report.findings.filter((f) => f.kind === 'clock-change');
    expect(changes.map((c) => c.from.slice(0, 10))).toEqual(
      expect.arrayContaining(['2021-03-28', '2021-10-31']),
    );
    expect(report.findings.some((f) => f.kind === 'out-of-order')).toBe(false);
    sameMonths(list, year, 1);
  });

  test('a clock that was reset', () => {
    const list = clean.map((r, i) =>
      i < 20 ? { ...r, at: `1970-01-01T0${String(i % 10)}:00` } : r,
    );
    expect(kinds(list)).toContain('clock-shift');
    sameMonths(list.slice(20), clean.slice(20));
  });

  test('degrees Fahrenheit for the whole file or for half of it', () => {
    const fahrenheit = (r: LoggerRow): LoggerRow => ({
      ...r,
      temperatureC: (r.temperatureC! * 9) / 5 + 32,
    });
    expect(kinds(clean.map(fahrenheit))).toEqual(['fahrenheit']);
    sameMonths(clean.map(fahrenheit), clean);
    const half = clean.map((r, i) => (i > 1400 ? fahrenheit(r) : r));
    expect(kinds(half)).toEqual(['fahrenheit']);
    sameMonths(half, clean);
  });

  test('exchanged columns', () => {
    const swap = (r: LoggerRow): LoggerRow => ({
      at: r.at,
      temperatureC: r.relativeHumidityPercent,
      relativeHumidityPercent: r.temperatureC,
    });
    expect(kinds(clean.map(swap))).toEqual(['swapped-columns']);
    sameMonths(clean.map(swap), clean);
  });

  test('humidity as a fraction', () => {
    const list = clean.map((r) => ({
      ...r,
      relativeHumidityPercent: r.relativeHumidityPercent! / 100,
    }));
    expect(kinds(list)).toEqual(['humidity-as-fraction']);
    sameMonths(list, clean);
  });

  test('a stuck humidity is emptied, a stuck temperature dropped', () => {
    const wet = clean.map((r, i) =>
      i > 700 && i < 1100 ? { ...r, relativeHumidityPercent: 99.9 } : r,
    );
    expect(reduceClimate(wet).report.findings).toMatchObject([
      { kind: 'stuck-sensor', rows: 399, action: 'left-empty' },
    ]);
    const cold = clean.map((r, i) => (i > 700 && i < 1100 ? { ...r, temperatureC: 8.5 } : r));
    expect(reduceClimate(cold).report.findings.map((f) => f.kind)).toContain('stuck-sensor');
  });

  test('impossible, missing and unreadable figures', () => {
    const list = clean.map((r, i): LoggerRow => {
      if (i === 10) return { ...r, temperatureC: -127 };
      if (i === 11) return { ...r, temperatureC: null };
      if (i === 12) return { ...r, at: '12/01/2021 5pm' };
      if (i === 13) return { ...r, relativeHumidityPercent: null };
      return r;
    });
    expect(kinds(list).sort()).toEqual(['humidity-missing', 'out-of-range', 'unreadable']);
    sameMonths(list, clean, 1);
  });

  test('hot dry and cold damp stores are believed as they are', () => {
    const store = (t: number, h: number): LoggerRow[] =>
      clean.map((r) => ({
        at: r.at,
        temperatureC: r.temperatureC! - 11 + t,
        relativeHumidityPercent: Math.max(5, Math.min(100, r.relativeHumidityPercent! - 78 + h)),
      }));
    for (const [t, h] of [
      [33, 22],
      [27, 80],
      [1, 92],
      [-5, 70],
    ] as const) {
      const seen = kinds(store(t, h));
      expect(seen).not.toContain('fahrenheit');
      expect(seen).not.toContain('swapped-columns');
    }
  });
});

describe('a zone without holes', () => {
  const indoor = reduceClimate(rows(730)).monthly;

  test('months before and inside the log are filled and say from what', () => {
    const holey = indoor.filter((m) => m.month !== '2021-07');
    const outdoor = reduceClimate(
      rows(1200, 180, -470).map((r) => ({ ...r, temperatureC: r.temperatureC! * 1.4 - 4 })),
    ).monthly;
    const zone = zoneClimate('Z', { monthly: holey, outdoor });
    const july = zone.months.find((m) => m.month === '2021-07')!;
    expect(july.source).toBe('outdoor-damped');
    expect(july.meanTemperatureC).toBeCloseTo(
      indoor.find((m) => m.month === '2021-07')!.meanTemperatureC,
      0,
    );
    expect(zone.months[0]!.source).toBe('outdoor-damped');
    expect(zone.filledShare).toBeGreaterThan(0.3);
  });

  test('half a year of log gives a whole typical year', () => {
    const typical = climatology(reduceClimate(rows(190)).monthly);
    expect(typical.months).toHaveLength(12);
    for (const m of typical.months) expect(m.waterVapourPa).toBeGreaterThan(0);
    expect(typical.months[9]!.meanTemperatureC).toBeGreaterThan(0);
    expect(typical.months[9]!.meanTemperatureC).toBeLessThan(25);
  });

  test('no logger at all stands on normals, or on an assumption that says so', () => {
    const normals = climatologyFromNormals({
      meanTemperatureC: [4, 4, 6, 7, 10, 13, 15, 14, 12, 10, 7, 5],
      relativeHumidityPercent: new Array<number>(12).fill(80),
    });
    expect(zoneClimate('Z', { normals }).climatology.source).toBe('normals');
    expect(zoneClimate('Z', {}).climatology.source).toBe('assumed');
    expect(() => climatology([])).toThrow(RangeError);
  });
});
