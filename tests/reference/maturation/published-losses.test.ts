import {
  calibrate,
  climatologyFromNormals,
  forecastFilling,
  updateFilling,
  zoneClimate,
  type CaskKind,
  type ClimateByZone,
  type FillingHistory,
} from '@rundlet/maturation';
import { describe, expect, test } from 'vitest';
import climates from './typical-year-climates.json' with { type: 'json' };
import losses from './published-losses.json' with { type: 'json' };

/**
 * Order-of-magnitude checks: an estate that has regauged nothing must forecast what others measured,
 * within the spread that casks have. Outdoor typical years stand in for stores.
 */
const nothing = calibrate([], {});

const series = (id: string): (typeof losses.series)[number] =>
  losses.series.find((s) => s.id === id)!;

function place(name: keyof typeof climates.places, damping = 0.7): ClimateByZone {
  const p = climates.places[name];
  const mean = p.mean_T_C.reduce((a, b) => a + b, 0) / 12;
  return {
    store: zoneClimate('store', {
      normals: climatologyFromNormals({
        meanTemperatureC: p.mean_T_C.map((t) => mean + damping * (t - mean)),
        relativeHumidityPercent: p.vapour_weighted_RH_pct.map((h) => Math.min(98, h)),
      }),
    }),
  };
}

function steady(celsius: number, humidity: number): ClimateByZone {
  return {
    store: zoneClimate('store', {
      normals: climatologyFromNormals({
        meanTemperatureC: new Array<number>(12).fill(celsius),
        relativeHumidityPercent: new Array<number>(12).fill(humidity),
      }),
    }),
  };
}

const refill: CaskKind = {
  nominalLitres: 200,
  species: 'Quercus alba',
  fillNumber: 2,
  previousContents: 'bourbon',
};

function forecast(
  climate: ClimateByZone,
  years: number,
  options: { strength?: number; kind?: CaskKind; litres?: number } = {},
) {
  const { strength = 63.5, kind = refill, litres = 0.98 * kind.nominalLitres } = options;
  const filling: FillingHistory = {
    id: 'x',
    zoneId: 'store',
    caskKind: kind,
    filledOn: '2010-01-01',
    fill: { bulkLitresAt20C: litres, strengthPercentVol: strength, uLitres: 0.3, uStrength: 0.1 },
    regauges: [],
    events: [],
  };
  const posterior = updateFilling(nothing, filling, climate);
  const first = forecastFilling(
    posterior,
    filling,
    climate,
    ['2011-01-01', `${String(2010 + years)}-01-01`],
    {
      population: nothing.population,
    },
  );
  const last = first[1]!;
  return {
    litres,
    lostFirstYear: litres - first[0]!.bulk.q50,
    last,
    lostPercentAYear: (100 * (litres - last.bulk.q50)) / litres / years,
    steadyPercentAYear: (100 * (first[0]!.bulk.q50 - last.bulk.q50)) / litres / (years - 1),
    strengthChangeAYear: (last.strength.q50 - strength) / years,
  };
}

describe('bulk lost', () => {
  test('cool maritime: about 2 % a year (common practice, no published source)', () => {
    const { lostPercentAYear, strengthChangeAYear } = forecast(place('Glasgow_Airport_UK'), 10);
    expect(lostPercentAYear).toBeGreaterThan(1);
    expect(lostPercentAYear).toBeLessThan(3);
    // strength falls 0.2 to 0.6 % vol a year (common practice, no published source)
    expect(strengthChangeAYear).toBeLessThan(-0.1);
    expect(strengthChangeAYear).toBeGreaterThan(-0.8);
  });

  test('humid tropical: 5 to 8 % a year (common practice, no published source)', () => {
    const { lostPercentAYear } = forecast(place('San_Juan_PR', 1), 5);
    expect(lostPercentAYear).toBeGreaterThan(3.5);
    expect(lostPercentAYear).toBeLessThan(9);
  });

  test('hot arid: 10 to 15 % a year (common practice, no published source)', () => {
    const { lostPercentAYear } = forecast(place('Phoenix_AZ_US', 1), 3);
    expect(lostPercentAYear).toBeGreaterThan(7);
    expect(lostPercentAYear).toBeLessThan(17);
  });

  test(`a warm uncontrolled store: ${series('Garcia_Castellanos_2020').source}`, () => {
    // 9.7 % a year in Havana in small and large casks, some heated by the sun; Honolulu's typical
    // year stands in: the same order, no more can be asked
    const published = series('Garcia_Castellanos_2020').annualised_pct!;
    const { lostFirstYear, litres } = forecast(place('Honolulu_HI_US', 1), 2);
    const percent = (100 * lostFirstYear) / litres;
    expect(percent / published).toBeGreaterThan(0.4);
    expect(percent / published).toBeLessThan(1.6);
  });

  test(`a wine cellar, about 225 L: ${series('Roussey_2021').source}`, () => {
    const published = series('Roussey_2021').annualised_pct_of_225L!;
    const { steadyPercentAYear } = forecast(steady(14, 75), 3, {
      strength: 13,
      kind: {
        nominalLitres: 225,
        species: 'Quercus petraea',
        fillNumber: 1,
        previousContents: 'none',
      },
    });
    expect(steadyPercentAYear / published).toBeGreaterThan(0.5);
    expect(steadyPercentAYear / published).toBeLessThan(2);
  });

  test(`new barrels over 12 years: ${series('Baldwin_Andreasen_1974').source}`, () => {
    // 36 % of the original proof gallons after 12 years, much the same from 54.5 to 77.5 % vol
    const newBarrel: CaskKind = { ...refill, fillNumber: 1, previousContents: 'none' };
    const lost = [54.5, 62.5, 77.5].map((strength) => {
      const { last, litres } = forecast(place('Lexington_KY_US'), 12, {
        strength,
        kind: newBarrel,
      });
      return 1 - last.lpa.q50 / ((litres * strength) / 100);
    });
    for (const share of lost) {
      expect(share).toBeGreaterThan(0.36 / 1.6);
      expect(share).toBeLessThan(0.36 * 1.6);
    }
    expect(Math.max(...lost) / Math.min(...lost)).toBeLessThan(1.35);
  });

  test(`no more than the law once allowed: ${series('US_statute_1894_1936').source}`, () => {
    const rows = series('US_statute_1894_1936').rows!;
    const newBarrel: CaskKind = { ...refill, fillNumber: 1, previousContents: 'none' };
    for (const [months, gallons] of rows.filter(([m]) => m! >= 12 && m! < 100)) {
      const litres = 196;
      const filling: FillingHistory = {
        id: 'x',
        zoneId: 'store',
        caskKind: newBarrel,
        filledOn: '2010-01-01',
        fill: { bulkLitresAt20C: litres, strengthPercentVol: 55, uLitres: 0.3, uStrength: 0.1 },
        regauges: [],
        events: [],
      };
      const climate = place('Lexington_KY_US');
      const day = Date.UTC(2010, months, 1);
      const [point] = forecastFilling(
        updateFilling(nothing, filling, climate),
        filling,
        climate,
        [new Date(day).toISOString().slice(0, 10)],
        { population: nothing.population },
      );
      // a proof gallon is 3.785 L at 50 % vol (1.893 LPA)
      const lost = ((litres * 55) / 100 - point!.lpa.q50) / 1.8927;
      expect(lost).toBeLessThan(gallons!);
    }
  });

  test(`brandy loses 2.5 % of its alcohol a year: BAAQMD emission inventory BY2011 s. 4.4`, () => {
    const { last, litres } = forecast(steady(15, 65), 5, { strength: 60 });
    const share = (1 - last.lpa.q50 / (litres * 0.6)) / 5;
    expect(share).toBeGreaterThan(0.0125);
    expect(share).toBeLessThan(0.05);
  });
});

describe('strength', () => {
  const change = (humidity: number): number =>
    forecast(steady(15, humidity), 6).strengthChangeAYear;

  test('hardly changes at 40–60 % RH, falls markedly at 90–100 % (BNIC, humidity of cellars)', () => {
    expect(change(62)).toBeGreaterThan(-0.12);
    expect(change(62)).toBeLessThan(0.12);
    expect(change(95)).toBeLessThan(-0.4);
    expect(change(30)).toBeGreaterThan(change(62));
  });

  test('falls the faster the damper the store', () => {
    const changes = [20, 40, 60, 80, 100].map(change);
    for (let i = 1; i < changes.length; i++) expect(changes[i]!).toBeLessThan(changes[i - 1]!);
  });
});

test('soakage: 2–3 % of a refill cask, about 3 of 53 US gal of a new one (common practice)', () => {
  const dry = (kind: CaskKind): number => {
    // a store so cold that next to nothing evaporates
    const { lostFirstYear, litres } = forecast(steady(-15, 70), 2, { kind });
    return (100 * lostFirstYear) / litres;
  };
  expect(dry(refill)).toBeGreaterThan(0.8);
  expect(dry(refill)).toBeLessThan(3);
  const fresh = dry({ ...refill, fillNumber: 1, previousContents: 'none' });
  expect(fresh).toBeGreaterThan(1.8);
  expect(fresh).toBeLessThan(6);
});
