import { addYears, dayNumber, isoDate } from './days.ts';
import { seededRandom, type Random } from './random.ts';
import { blunder, honestReading, type BlunderKind, type RegaugeRow } from './records.ts';
import { STORES, type Store } from './stores.ts';
import { climateLog, simulateWeather } from './weather.ts';
import {
  drawWoodLaw,
  floorDrives,
  simulateCask,
  type CaskLatents,
  type Content,
  type Draw,
  type FloorDrives,
  type Leak,
  type WoodLaw,
} from './wood.ts';

/** A store as a forecaster may see it: the forecast bundle. */
export interface Bundle {
  warehouse: {
    warehouse_id: string;
    cutoff_date: string;
    horizons_y: number[];
    horizon_dates: Record<string, string>;
    floors: number;
    hemisphere: string;
    spirit: string;
    description: string;
    zones: { zone_id: string; sensor_floor: number }[];
  };
  casks: BundleCask[];
  climate: { zone_id: string; date: string; temp_c: number; rh_pct: number | null }[];
}

export interface BundleCask {
  cask_id: string;
  cask_type: string;
  capacity_l_nominal: number;
  wood_species: string;
  fill_number: number;
  previous_contents: string;
  orientation: string;
  floor: number;
  zone_id: string;
  parcel_id: string;
  cooper_lot: string;
  fill_date: string;
  fill_bulk_l_20c: number;
  fill_abv_20c_pct: number;
  fill_method: string;
  regauges: RegaugeRow[];
  withdrawals: { date: string; volume_l_20c: number; reason: string }[];
}

/** What only the scorer sees. */
export interface CaskTruth {
  caskId: string;
  regaugeCount: number;
  horizons: { years: number; content: Content; depleted: boolean }[];
  atCutoff: Content;
  leak: Leak | null;
  leakedByLastRegauge: number;
  leakBegunUnseen: boolean;
  blunders: { date: string; kind: BlunderKind }[];
  latents: CaskLatents;
}

export interface SimulatedStore {
  store: Store;
  law: WoodLaw;
  drives: FloorDrives[];
  bundle: Bundle;
  truth: CaskTruth[];
  /** hidden offsets of each cask's lot and floor: ln water, ln ethanol */
  offsets: (readonly [number, number])[];
}

export const HORIZONS = [1, 2, 3, 5, 10] as const;

/** One of the six stores with `caskCount` casks, its records and its truth. */
export function simulateStore(storeIndex: number, seed: number, caskCount = 400): SimulatedStore {
  const store = STORES[storeIndex]!;
  const random = seededRandom(seed * 101 + storeIndex);
  const law = drawWoodLaw(random, store.weather.meanC);
  const cutoff = dayNumber(store.cutoff);
  const firstDay = cutoff - Math.round((store.filledYearsAgo[0] + 1) * 365.25);
  const lastDay = cutoff + Math.round(10.1 * 365.25);
  const weather = simulateWeather(store, firstDay, lastDay, random);
  const drives = weather.floors.map(floorDrives);
  const climate = climateLog(store, weather, cutoff, isoDate, random);
  const horizonDates = Object.fromEntries(
    HORIZONS.map((h) => [String(h), addYears(store.cutoff, h)]),
  );
  const bundle: Bundle = {
    warehouse: {
      warehouse_id: store.id,
      description: store.description,
      spirit: store.spirit,
      cutoff_date: store.cutoff,
      horizons_y: [...HORIZONS],
      horizon_dates: horizonDates,
      hemisphere: store.hemisphere,
      floors: store.floors,
      zones: store.sensorFloors.map((floor, i) => ({
        zone_id: `${store.id}-Z${String(i + 1)}`,
        sensor_floor: floor,
      })),
    },
    casks: [],
    climate,
  };
  const floorOffsets = Array.from({ length: store.floors }, () => [
    random.normal(0, 0.05),
    random.normal(0, 0.05),
  ]);
  const lots = new Map<string, readonly [number, number]>();
  const truth: CaskTruth[] = [];
  const offsets: (readonly [number, number])[] = [];
  const perParcel = random.integer(10, 20);
  let parcel = 0;
  let parcelDay = 0;
  let parcelStrength = 0;
  let choice = store.casks[0]![0];
  for (let n = 0; n < caskCount; n++) {
    if (n % perParcel === 0) {
      parcel++;
      const span = store.filledYearsAgo[0] - store.filledYearsAgo[1];
      const agoYears = store.filledYearsAgo[1] + span * random.uniform() ** 1.3;
      parcelDay = cutoff - Math.round(agoYears * 365.25);
      parcelStrength = random.between(store.fillStrength[0], store.fillStrength[1]);
      choice = random.weighted(store.casks);
    }
    const lot = `${store.id}-C${String(parcel).padStart(2, '0')}${random.chance(0.2) ? 'b' : ''}`;
    if (!lots.has(lot)) {
      const common = random.normal(0, law.sdLot);
      lots.set(lot, [common + random.normal(0, 0.03), common + random.normal(0, 0.03)]);
    }
    const made = makeCask(store, law, drives, {
      id: `${store.id}-${String(n + 1).padStart(4, '0')}`,
      parcel: `${store.id}-P${String(parcel).padStart(2, '0')}`,
      lot,
      lotOffset: lots.get(lot)!,
      floorOffsets,
      fillDay: parcelDay,
      strength: parcelStrength,
      choice,
      cutoff,
      horizonDays: HORIZONS.map((h) => dayNumber(horizonDates[String(h)]!)),
      random,
      earlier: truth,
      earlierCasks: bundle.casks,
    });
    bundle.casks.push(made.cask);
    truth.push(made.truth);
    const floorOffset = floorOffsets[made.cask.floor]!;
    const lotOffset = lots.get(lot)!;
    offsets.push([lotOffset[0] + floorOffset[0]!, lotOffset[1] + floorOffset[1]!]);
  }
  return { store, law, drives, bundle, truth, offsets };
}

interface Recipe {
  id: string;
  parcel: string;
  lot: string;
  lotOffset: readonly [number, number];
  floorOffsets: number[][];
  fillDay: number;
  strength: number;
  choice: Store['casks'][number][0];
  cutoff: number;
  horizonDays: number[];
  random: Random;
  earlier: CaskTruth[];
  earlierCasks: BundleCask[];
}

function drawLeak(store: Store, r: Recipe): Leak | null {
  const years = (r.horizonDays.at(-1)! - r.fillDay) / 365.25;
  const when = -Math.log(r.random.uniform()) / store.people.leakPerYear;
  if (when > years) return null;
  const startDay = r.fillDay + Math.round(when * 365.25);
  const mended = r.random.chance(0.3) ? startDay + r.random.integer(60, 900) : null;
  return {
    startDay,
    stopDay: mended !== null && mended < r.cutoff ? mended : null,
    litresPerYear: Math.exp(r.random.normal(Math.log(5), 0.9)) * (r.choice.litres / 200) ** 0.4,
    heightShare: r.random.uniform() * 0.8,
  };
}

function drawWithdrawals(store: Store, r: Recipe): Draw[] {
  const draws: Draw[] = [];
  let day = r.fillDay;
  for (;;) {
    day += Math.round(-Math.log(r.random.uniform()) * store.people.sampleEveryYears * 365.25) + 20;
    if (day >= r.cutoff) break;
    draws.push({
      day,
      litres: Math.round(r.random.between(0.4, 1.8) * 10) / 10,
      logged: r.random.chance(store.people.loggedShare),
      reason: 'sample',
    });
  }
  if (r.random.chance(store.people.partBottlingShare * ((r.cutoff - r.fillDay) / 3000))) {
    draws.push({
      day: r.random.integer(r.fillDay + 300, Math.max(r.fillDay + 301, r.cutoff - 10)),
      litres: Math.round(r.random.between(10, 40) * (r.choice.litres / 200)),
      logged: r.random.chance(store.people.loggedShare),
      reason: 'part_bottling',
    });
  }
  return draws;
}

function makeCask(
  store: Store,
  law: WoodLaw,
  drives: FloorDrives[],
  r: Recipe,
): { cask: BundleCask; truth: CaskTruth } {
  const { random, choice } = r;
  const fillNumber = random.weighted(choice.fills.map((w, i) => [i + 1, w] as const));
  const floor = random.integer(0, store.floors - 1);
  const zone = store.sensorFloors
    .map((f, i) => ({ id: `${store.id}-Z${String(i + 1)}`, d: Math.abs(f - floor) }))
    .reduce((a, b) => (b.d < a.d ? b : a)).id;
  const capacity = choice.litres * (1 + random.normal(0, 0.01));
  const species = law.species[choice.species] ?? [0, 0];
  const common =
    random.normal(0, law.sdCommon) +
    law.perFill * (fillNumber - 1) +
    (choice.orientation === 'upright' ? law.upright : 0);
  const fillLitres = capacity * random.between(0.96, 0.995);
  const scale = (choice.litres / 200) ** 0.6;
  const fillMethod = random.chance(store.people.nominalFillShare) ? 'nominal' : 'weight';
  const soakShare = fillNumber === 1 ? law.soakFirst : law.soakRefill;
  const draws = drawWithdrawals(store, r);
  const ageYears = (r.cutoff - r.fillDay) / 365.25;
  const wanted = Math.min(
    5,
    [0, 1, 2, 3, 4, 5].find((k) => random.uniform() < poissonHazard(k, store, ageYears)) ?? 5,
  );
  const regaugeDays = new Set<number>();
  for (let k = 0; k < wanted; k++) {
    regaugeDays.add(random.integer(r.fillDay + 120, Math.max(r.fillDay + 121, r.cutoff - 5)));
  }
  const days = [...regaugeDays].filter((d) => d <= r.cutoff).sort((a, b) => a - b);
  draws.push(...days.map((day): Draw => ({ day, litres: 0.2, logged: false, reason: 'regauge' })));
  draws.sort((a, b) => a.day - b.day);
  const latents: CaskLatents = {
    capacityLitres: capacity,
    lnWater:
      common +
      species[0] +
      r.lotOffset[0] +
      r.floorOffsets[floor]![0]! +
      random.normal(0, law.sdSeparate),
    lnEthanol:
      common +
      species[1] +
      r.lotOffset[1] +
      r.floorOffsets[floor]![1]! +
      random.normal(0, law.sdSeparate),
    soakLitres: choice.litres * soakShare * Math.exp(random.normal(0, law.soakSpread)),
    driftPerYear: random.normal(0, law.sdDrift),
    yearNoise: Array.from({ length: 45 }, () => random.normal(0, law.sdYear)),
    fillDay: r.fillDay,
    fillLitres,
    fillStrength: r.strength,
    dipBiasLitres: random.normal(0, 0.75 * scale),
    leak: drawLeak(store, r),
    draws,
  };
  const drive = drives[floor]!;
  const contents = simulateCask(latents, law, drive, [...days, r.cutoff, ...r.horizonDays]);
  const atRegauge = contents.slice(0, days.length);
  const atCutoff = contents[days.length]!;
  const regauges: RegaugeRow[] = [];
  const blunders: CaskTruth['blunders'] = [];
  days.forEach((day, i) => {
    const method = random.chance(store.people.weighShare) ? 'weight' : 'dip';
    const liquidC = drive.temperatureC[day - drive.firstDay]!;
    const honest = honestReading(
      atRegauge[i]!,
      isoDate(day),
      method,
      choice.litres,
      latents.dipBiasLitres,
      liquidC,
      random,
    );
    const kind: BlunderKind = random.chance(store.people.blunderShare)
      ? random.pick(['wrong-cask', 'digit', 'uncorrected-strength', 'copied'] as const)
      : 'none';
    const other = r.earlier.length > 0 ? random.pick(r.earlier).atCutoff : null;
    const spoiled = blunder(kind, honest, other, regauges.at(-1) ?? null, random);
    regauges.push(spoiled ?? honest);
    blunders.push({ date: honest.date, kind: spoiled ? kind : 'none' });
  });
  const cask: BundleCask = {
    cask_id: r.id,
    cask_type: choice.type,
    capacity_l_nominal: choice.litres,
    wood_species: choice.species,
    fill_number: fillNumber,
    previous_contents: fillNumber === 1 ? 'none' : choice.previous,
    orientation: choice.orientation,
    floor,
    zone_id: zone,
    parcel_id: r.parcel,
    cooper_lot: r.lot,
    fill_date: isoDate(r.fillDay),
    fill_bulk_l_20c:
      Math.round(
        (fillLitres + random.normal(0, fillMethod === 'weight' ? 0.3 : 1.1 * scale)) * 10,
      ) / 10,
    fill_abv_20c_pct: Math.round((r.strength + random.normal(0, 0.08)) * 10) / 10,
    fill_method: fillMethod,
    regauges,
    withdrawals: draws
      .filter((d) => d.logged)
      .map((d) => ({ date: isoDate(d.day), volume_l_20c: d.litres, reason: d.reason })),
  };
  const leakedByLast = atRegauge.at(-1)?.leakedLitres ?? 0;
  const begun = latents.leak !== null && latents.leak.startDay <= r.cutoff;
  return {
    cask,
    truth: {
      caskId: r.id,
      regaugeCount: days.length,
      horizons: contents.slice(days.length + 1).map((content, i) => ({
        years: HORIZONS[i]!,
        content,
        depleted: content.bulkLitresAt20C < 0.1 * choice.litres,
      })),
      atCutoff,
      leak: latents.leak,
      leakedByLastRegauge: leakedByLast,
      leakBegunUnseen: begun && leakedByLast < 3,
      blunders,
      latents,
    },
  };
}

/** Chance of stopping at k regauges when the mean is that of the store, thinned for young casks. */
function poissonHazard(k: number, store: Store, ageYears: number): number {
  const mean = store.people.regaugeMean * Math.min(1.3, ageYears / 6);
  let p = Math.exp(-mean);
  let tail = 1;
  for (let i = 0; i < k; i++) {
    tail -= p;
    p *= mean / (i + 1);
  }
  return tail <= 0 ? 1 : p / tail;
}
