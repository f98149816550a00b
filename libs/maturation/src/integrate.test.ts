import { liquidFromVolume } from '@rundlet/alcoholometry';
import fc from 'fast-check';
import { expect, test } from 'vitest';
import { climatologyFromNormals } from './climate/climatology.ts';
import { zoneClimate } from './climate/zone-climate.ts';
import { drivesOf } from './drives.ts';
import { vesselOf } from './geometry.ts';
import { integrate, P_COUNT, P_LEAK, P_LEAK_FROM, P_LEAK_TO } from './integrate.ts';
import { litresFromTable } from './mixture-tables.ts';
import { createSteps, planSteps, type LiquidEvent } from './steps.ts';
import { emptyTally } from './trace.ts';

const vessel = vesselOf({
  nominalLitres: 200,
  species: 'Quercus alba',
  fillNumber: 2,
  previousContents: 'bourbon',
});

function steady(celsius: number, humidity: number) {
  return drivesOf(
    zoneClimate('Z', {
      normals: climatologyFromNormals({
        meanTemperatureC: new Array<number>(12).fill(celsius),
        relativeHumidityPercent: new Array<number>(12).fill(humidity),
      }),
    }),
  );
}

function run(
  options: {
    celsius?: number;
    humidity?: number;
    years?: number;
    strength?: number;
    events?: LiquidEvent[];
    marks?: number[];
    set?: (p: Float64Array) => void;
  } = {},
) {
  const { celsius = 12, humidity = 75, years = 10, strength = 63.5, events = [] } = options;
  const toDay = Math.round(years * 365.25);
  const marks = options.marks ?? [toDay];
  const steps = createSteps(16);
  planSteps(steps, {
    fromDay: 0,
    toDay,
    filledDay: 0,
    stays: [{ fromDay: 0, drives: steady(celsius, humidity), shift: [0, 0, 0] }],
    events,
    marks,
  });
  const fill = liquidFromVolume(196, strength);
  const parameters = new Float64Array(P_COUNT);
  parameters[0] = fill.ethanolKg;
  parameters[1] = fill.waterKg;
  options.set?.(parameters);
  const out = new Float64Array(marks.length * 2);
  const tally = emptyTally();
  integrate(steps, vessel, 2.5, events, parameters, out, 0, tally);
  return { fill, tally, out, ethanol: out.at(-2)!, water: out.at(-1)! };
}

test('what left the cask and what is in it add up to what was put in', () => {
  fc.assert(
    fc.property(
      fc.double({ min: -10, max: 45, noNaN: true }),
      fc.double({ min: 0, max: 100, noNaN: true }),
      fc.double({ min: 5, max: 95, noNaN: true }),
      fc.double({ min: 0, max: 40, noNaN: true }),
      fc.integer({ min: 1, max: 7000 }),
      (celsius, humidity, strength, leak, day) => {
        const { fill, tally, ethanol, water } = run({
          celsius,
          humidity,
          strength,
          years: 20,
          events: [
            { day, drawnLitres: 3, ethanolKg: 0, waterKg: 0 },
            { day: day + 10, drawnLitres: 0, ethanolKg: 2, waterKg: 1 },
          ],
          set: (p) => {
            p[P_LEAK] = leak;
            p[P_LEAK_FROM] = 1000;
            p[P_LEAK_TO] = 3000;
          },
        });
        const lostE =
          tally.soakEthanol + tally.evaporatedEthanol + tally.leakEthanol + tally.drawnEthanol;
        const lostW = tally.soakWater + tally.evaporatedWater + tally.leakWater + tally.drawnWater;
        expect(ethanol + lostE - tally.addedEthanol).toBeCloseTo(fill.ethanolKg, 8);
        expect(water + lostW - tally.addedWater).toBeCloseTo(fill.waterKg, 8);
        expect(ethanol).toBeGreaterThanOrEqual(0);
        expect(water).toBeGreaterThanOrEqual(0);
      },
    ),
    { numRuns: 60 },
  );
});

test('monthly steps and steps of a day agree to 2 mL in 200 L after ten years', () => {
  const monthly = run();
  const daily = run({
    marks: Array.from({ length: 3653 }, (_, i) => i + 1).filter((d) => d <= 3652 || d === 3653),
  });
  const litres = (r: { ethanol: number; water: number }): number =>
    litresFromTable(r.ethanol, r.water);
  expect(Math.abs(litres(monthly) - litres(daily))).toBeLessThan(0.02);
});

test('an empty cask stays empty and gives no NaN', () => {
  const { out } = run({
    set: (p) => {
      p[0] = 0;
      p[1] = 0;
    },
  });
  expect([...out]).toEqual([0, 0]);
});

test('a withdrawal of more than there is empties the cask', () => {
  const { ethanol, water } = run({
    events: [{ day: 3652, drawnLitres: 500, ethanolKg: 0, waterKg: 0 }],
    marks: [3653],
    years: 3653 / 365.25,
  });
  expect(ethanol + water).toBe(0);
});

test('a mark is taken before the events of its day, and two events of one day both happen', () => {
  const events = [
    { day: 100, drawnLitres: 5, ethanolKg: 0, waterKg: 0 },
    { day: 100, drawnLitres: 5, ethanolKg: 0, waterKg: 0 },
  ];
  const with2 = run({ events, marks: [100, 101], years: 101 / 365.25 });
  const none = run({ marks: [100, 101], years: 101 / 365.25 });
  expect(with2.out[0]).toBe(none.out[0]);
  const litres = (o: Float64Array, m: number): number => litresFromTable(o[m * 2]!, o[m * 2 + 1]!);
  expect(litres(none.out, 1) - litres(with2.out, 1)).toBeCloseTo(10, 2);
});
