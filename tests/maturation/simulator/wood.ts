import { volumeOfLiquid, liquidFromVolume } from '@rundlet/alcoholometry';
import type { Random } from './random.ts';
import { magnusPa, type DailySeries } from './weather.ts';

/**
 * The wood of the simulated stores. On purpose another law than the library's: van Laar activities,
 * Antoine and Magnus pressures, daily steps, conductances that feel temperature and humidity, flux
 * that lags behind its drive, a headspace that breathes less than wetted wood, slow drift of each
 * cask, single years' noise, soakage with its own time and water from damp staves.
 */
export interface WoodLaw {
  waterConductance: number;
  /** ethanol over water */
  ratio: number;
  perDegree: number;
  /** temperature at which the conductances hold, °C */
  meanC: number;
  waterPerHumidity: number;
  headspace: number;
  lagDays: number;
  startShare: number;
  soakDays: number;
  soakFirst: number;
  soakRefill: number;
  soakSpread: number;
  staveMoisture: number;
  ageingPerYear: number;
  sdCommon: number;
  sdSeparate: number;
  sdLot: number;
  sdYear: number;
  sdDrift: number;
  thickness: number;
  species: Record<string, readonly [number, number]>;
  perFill: number;
  upright: number;
}

export function drawWoodLaw(random: Random, meanC: number): WoodLaw {
  return {
    waterConductance: 8e-9 * Math.exp(random.normal(0, 0.12) - Math.max(0, meanC - 9) * 0.03),
    ratio: random.between(0.055, 0.07),
    perDegree: random.between(0, 0.018),
    meanC,
    waterPerHumidity: random.between(0, 0.8),
    headspace: random.between(0.7, 1.02),
    lagDays: random.between(50, 130),
    startShare: random.between(0.1, 0.5),
    soakDays: random.between(20, 70),
    soakFirst: random.between(0.016, 0.03),
    soakRefill: random.between(0.007, 0.015),
    soakSpread: random.between(0.2, 0.35),
    staveMoisture: random.between(0, 0.25),
    ageingPerYear: random.between(0, 0.012),
    sdCommon: random.between(0.13, 0.3),
    sdSeparate: random.between(0.05, 0.14),
    sdLot: random.between(0.05, 0.15),
    sdYear: random.between(0.02, 0.07),
    sdDrift: random.between(0.002, 0.01),
    thickness: random.between(0, 0.2),
    species: {
      'Quercus alba': [0, 0],
      'Quercus robur': [random.normal(0.12, 0.05), random.normal(0.08, 0.05)],
      'Quercus petraea': [random.normal(0.05, 0.05), random.normal(0.04, 0.05)],
    },
    perFill: random.normal(-0.04, 0.02),
    upright: random.normal(0.05, 0.04),
  };
}

export interface Leak {
  startDay: number;
  /** null: runs on */
  stopDay: number | null;
  litresPerYear: number;
  /** stops of itself when the cask is down to this share of its capacity */
  heightShare: number;
}

export interface Draw {
  day: number;
  litres: number;
  logged: boolean;
  reason: 'sample' | 'part_bottling' | 'regauge';
}

/** What is hidden in one cask. */
export interface CaskLatents {
  capacityLitres: number;
  lnWater: number;
  lnEthanol: number;
  soakLitres: number;
  driftPerYear: number;
  /** ln multipliers by calendar year since filling */
  yearNoise: number[];
  fillDay: number;
  fillLitres: number;
  fillStrength: number;
  dipBiasLitres: number;
  leak: Leak | null;
  draws: Draw[];
}

export interface FloorDrives {
  firstDay: number;
  temperatureC: Float64Array;
  humidity: Float64Array;
  waterPa: Float64Array;
  ethanolPa: Float64Array;
}

/** Ethanol by Antoine (A 8.20417, B 1642.89, C 230.3, mmHg and °C; handbook values). */
const antoineEthanolPa = (celsius: number): number =>
  133.322 * 10 ** (8.20417 - 1642.89 / (celsius + 230.3));

export function floorDrives(series: DailySeries): FloorDrives {
  return {
    firstDay: series.firstDay,
    temperatureC: series.temperatureC,
    humidity: series.humidity,
    waterPa: series.temperatureC.map(magnusPa),
    ethanolPa: series.temperatureC.map(antoineEthanolPa),
  };
}

export interface Content {
  bulkLitresAt20C: number;
  strengthPercentVol: number;
  litresPureAlcohol: number;
  leakedLitres: number;
}

/** True content of a cask on each of the ascending `days`; a stride above 1 trades detail for speed. */
export function simulateCask(
  cask: CaskLatents,
  law: WoodLaw,
  drives: FloorDrives,
  days: readonly number[],
  strideDays = 1,
): Content[] {
  const fill = liquidFromVolume(cask.fillLitres, cask.fillStrength);
  let ethanol = fill.ethanolKg;
  let water = fill.waterKg;
  const area = 1.84 * (cask.capacityLitres / 200) ** (2 / 3);
  const thick = (cask.capacityLitres / 200) ** -law.thickness;
  const perDay = 86400 * area * thick;
  const kWater = law.waterConductance * Math.exp(cask.lnWater) * perDay * 0.01801528;
  const kEthanol =
    law.waterConductance * law.ratio * Math.exp(cask.lnEthanol) * perDay * 0.04606844;
  let ethanolFlux = -1;
  let waterFlux = 0;
  let leaked = 0;
  let soaked = 0;
  let draw = 0;
  const out: Content[] = [];
  const report = (): void => {
    const v = volumeOfLiquid({ ethanolKg: Math.max(ethanol, 0), waterKg: Math.max(water, 1e-9) });
    out.push({
      bulkLitresAt20C: v.bulkLitresAt20C,
      strengthPercentVol: v.strengthPercentVol,
      litresPureAlcohol: v.litresPureAlcohol,
      leakedLitres: leaked,
    });
  };
  const last = days.at(-1) ?? cask.fillDay;
  let next = 0;
  for (let day = cask.fillDay; day <= last; day += strideDays) {
    // the draws of a regauge day happen after its reading
    while (next < days.length && days[next]! <= day) {
      report();
      next++;
    }
    const mass = ethanol + water;
    if (mass < 0.5) continue;
    const p = ethanol / mass;
    const density = 998.2 - 120 * p - 89 * p * p;
    const litres = (mass / density) * 1000;
    while (draw < cask.draws.length && cask.draws[draw]!.day <= day) {
      const share = Math.min(1, cask.draws[draw]!.litres / litres);
      ethanol -= ethanol * share;
      water -= water * share;
      draw++;
    }
    if (ethanol + water < 0.5) continue;
    const x = ethanol / 0.04606844 / (ethanol / 0.04606844 + water / 0.01801528);
    const a = 1.62;
    const b = 0.93;
    const s = a * x + b * (1 - x);
    const activityEthanol = x * Math.exp(a * ((b * (1 - x)) / s) ** 2);
    const activityWater = (1 - x) * Math.exp(b * ((a * x) / s) ** 2);
    const i = day - drives.firstDay;
    const t = drives.temperatureC[i]!;
    const rh = drives.humidity[i]!;
    const filled = Math.min(1, litres / cask.capacityLitres);
    const dry = Math.acos(Math.max(-1, Math.min(1, 2 * filled - 1))) / Math.PI;
    const years = (day - cask.fillDay) / 365.25;
    const common =
      (1 - (1 - law.headspace) * dry) *
      Math.exp(
        law.perDegree * (t - law.meanC) +
          (cask.yearNoise[Math.floor(years)] ?? 0) +
          (cask.driftPerYear - law.ageingPerYear) * years,
      );
    const targetEthanol = kEthanol * common * activityEthanol * drives.ethanolPa[i]!;
    const targetWater =
      kWater *
      common *
      (1 + law.waterPerHumidity * (rh - 0.65)) *
      (activityWater - rh) *
      drives.waterPa[i]!;
    if (ethanolFlux < 0) {
      ethanolFlux = targetEthanol * law.startShare;
      waterFlux = targetWater * law.startShare;
    }
    ethanolFlux += ((targetEthanol - ethanolFlux) * strideDays) / law.lagDays;
    waterFlux += ((targetWater - waterFlux) * strideDays) / law.lagDays;
    ethanol -= Math.min(ethanolFlux * strideDays, ethanol * 0.05);
    water -= Math.min(waterFlux * strideDays, water * 0.05);
    const soak = ((cask.soakLitres - soaked) * strideDays) / law.soakDays;
    soaked += soak;
    ethanol -= (ethanol / litres) * soak * (1 + law.staveMoisture * 0.5);
    water -= (water / litres) * soak * (1 - law.staveMoisture);
    const leak = cask.leak;
    if (
      leak &&
      day >= leak.startDay &&
      (leak.stopDay === null || day < leak.stopDay) &&
      filled > leak.heightShare
    ) {
      const lost = Math.min((leak.litresPerYear * strideDays) / 365.25, litres * 0.5);
      leaked += lost;
      ethanol -= (ethanol / litres) * lost;
      water -= (water / litres) * lost;
    }
  }
  while (next++ < days.length) report();
  return out;
}
