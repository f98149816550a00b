import { dayNumber } from './simulator/days.ts';
import { seededRandom, type Random } from './simulator/random.ts';
import type { SimulatedStore } from './simulator/estate.ts';
import { simulateCask, type CaskLatents, type Leak } from './simulator/wood.ts';
import type { CaskForecast, Interval } from './score.ts';

/**
 * A forecaster that knows the simulator: its law, its spreads, its weather, every lot's and floor's
 * offset and which readings are blunders; not what is hidden in the single cask. Importance sampling
 * in two rounds. Its score is the ceiling against which forecasts are measured.
 */
const STRIDE_DAYS = 6;
const DIMENSIONS = 7; // common, water, ethanol, ln soakage, drift, fill litres, fill strength

interface Draw {
  z: number[];
  leak: Leak | null;
  logWeight: number;
}

export function oracleForecast(store: SimulatedStore, draws = 700, everyNth = 1): CaskForecast[] {
  const cutoff = dayNumber(store.bundle.warehouse.cutoff_date);
  const horizons = store.bundle.warehouse.horizons_y.map((years) => ({
    years,
    day: dayNumber(store.bundle.warehouse.horizon_dates[String(years)]!),
  }));
  const random = seededRandom(4711);
  return store.bundle.casks.flatMap((_, i) =>
    i % everyNth === 0 ? forecastCask(store, i, cutoff, horizons, draws, random) : [],
  );
}

function forecastCask(
  store: SimulatedStore,
  i: number,
  cutoff: number,
  horizons: { years: number; day: number }[],
  count: number,
  random: Random,
): CaskForecast[] {
  const { law } = store;
  const cask = store.bundle.casks[i]!;
  const truth = store.truth[i]!;
  const scale = (cask.capacity_l_nominal / 200) ** 0.6;
  const readings = cask.regauges
    .map((r, k) => ({ ...r, day: dayNumber(r.date), blunder: truth.blunders[k]!.kind !== 'none' }))
    .filter((r) => !r.blunder)
    .sort((a, b) => a.day - b.day);
  const species = law.species[cask.wood_species] ?? [0, 0];
  const group =
    law.perFill * (cask.fill_number - 1) + (cask.orientation === 'upright' ? law.upright : 0);
  const soak = cask.capacity_l_nominal * (cask.fill_number === 1 ? law.soakFirst : law.soakRefill);
  const sd = [
    law.sdCommon,
    law.sdSeparate,
    law.sdSeparate,
    law.soakSpread,
    law.sdDrift,
    cask.fill_method === 'weight' ? 0.3 : 1.1 * scale,
    0.05,
  ];
  const offset = store.offsets[i]!;
  const latents = (draw: Draw): CaskLatents => ({
    ...truth.latents,
    capacityLitres: cask.capacity_l_nominal,
    lnWater: group + species[0] + offset[0] + draw.z[0]! * sd[0]! + draw.z[1]! * sd[1]!,
    lnEthanol: group + species[1] + offset[1] + draw.z[0]! * sd[0]! + draw.z[2]! * sd[2]!,
    soakLitres: soak * Math.exp(draw.z[3]! * sd[3]!),
    driftPerYear: draw.z[4]! * sd[4]!,
    fillLitres: cask.fill_bulk_l_20c + draw.z[5]! * sd[5]!,
    fillStrength: cask.fill_abv_20c_pct + draw.z[6]! * sd[6]!,
    yearNoise: Array.from({ length: 45 }, () => random.normal(0, law.sdYear)),
    leak: draw.leak,
    draws: truth.latents.draws.filter((d) => d.logged || d.reason === 'regauge'),
  });
  const drives = store.drives[cask.floor]!;
  const logLikelihood = (draw: Draw): number => {
    if (readings.length === 0) return 0;
    const at = simulateCask(
      latents(draw),
      law,
      drives,
      readings.map((r) => r.day),
      STRIDE_DAYS,
    );
    let sum = 0;
    let dips = 0;
    let ss = 0;
    let s1 = 0;
    readings.forEach((r, k) => {
      sum -= 0.5 * ((r.abv_20c_pct - at[k]!.strengthPercentVol) / 0.115) ** 2;
      const d = r.bulk_l_20c - at[k]!.bulkLitresAt20C;
      if (r.method === 'weight') {
        const u2 = 0.3 ** 2 + (0.0008 * r.bulk_l_20c) ** 2;
        sum -= (0.5 * d * d) / u2 + 0.5 * Math.log(u2);
      } else {
        dips++;
        ss += d * d;
        s1 += d;
      }
    });
    if (dips > 0) {
      // a common bias of the cask's dip, integrated out
      const v = (1.0 * scale) ** 2;
      const b = (0.75 * scale) ** 2;
      sum -= 0.5 * (ss / v - (b * s1 * s1) / (v * (v + dips * b))) + 0.5 * Math.log(v + dips * b);
    }
    return sum;
  };
  const priorLog = (z: number[]): number => -0.5 * z.reduce((a, x) => a + x * x, 0);
  const fillDay = truth.latents.fillDay;
  const leakChance = 1 - Math.exp((-store.store.people.leakPerYear * (cutoff - fillDay)) / 365.25);
  const leakShare = readings.length > 0 ? 0.3 : leakChance;
  const drawLeak = (): { leak: Leak | null; log: number } => {
    if (!random.chance(leakShare))
      return { leak: null, log: Math.log((1 - leakChance) / (1 - leakShare)) };
    const startDay = random.integer(fillDay, cutoff);
    const mended = random.chance(0.3) ? startDay + random.integer(60, 900) : null;
    return {
      leak: {
        startDay,
        stopDay: mended !== null && mended < cutoff ? mended : null,
        litresPerYear:
          Math.exp(random.normal(Math.log(5), 0.9)) * (cask.capacity_l_nominal / 200) ** 0.4,
        heightShare: random.uniform() * 0.8,
      },
      log: Math.log(leakChance / leakShare),
    };
  };
  let centre = new Array<number>(DIMENSIONS).fill(0);
  let width = new Array<number>(DIMENSIONS).fill(1.3);
  let pool: Draw[] = [];
  const rounds = readings.length === 0 ? 1 : 3;
  for (let round = 0; round < rounds; round++) {
    if (readings.length === 0) width = width.map(() => 1);
    pool = Array.from({ length: count }, () => {
      const z = centre.map((c, k) => random.normal(c, width[k]));
      const { leak, log } = drawLeak();
      const draw: Draw = { z, leak, logWeight: 0 };
      const proposal = z.reduce(
        (a, x, k) => a - 0.5 * ((x - centre[k]!) / width[k]!) ** 2 - Math.log(width[k]!),
        0,
      );
      draw.logWeight = priorLog(z) - proposal + log + logLikelihood(draw);
      return draw;
    });
    const best = Math.max(...pool.map((d) => d.logWeight));
    const w = pool.map((d) =>
      Math.exp((d.logWeight - best) * (round === 0 ? 0.3 : round === 1 ? 0.7 : 1)),
    );
    const total = w.reduce((a, b) => a + b, 0);
    centre = centre.map((_, k) => pool.reduce((a, d, n) => a + w[n]! * d.z[k]!, 0) / total);
    width = centre.map((c, k) =>
      Math.max(
        0.12,
        1.2 * Math.sqrt(pool.reduce((a, d, n) => a + w[n]! * (d.z[k]! - c) ** 2, 0) / total),
      ),
    );
  }
  const best = Math.max(...pool.map((d) => d.logWeight));
  const weights = pool.map((d) => Math.exp(d.logWeight - best));
  const chosen = resample(pool, weights, 250, random);
  const days = horizons.map((h) => h.day);
  const runs = chosen.map((draw) => {
    const future =
      draw.leak ?? futureLeak(store, cutoff, days.at(-1)!, cask.capacity_l_nominal, random);
    return simulateCask(latents({ ...draw, leak: future }), law, drives, days, STRIDE_DAYS);
  });
  return horizons.map((h, k) => ({
    caskId: cask.cask_id,
    years: h.years,
    bulk: quantiles(runs.map((r) => r[k]!.bulkLitresAt20C)),
    strength: quantiles(runs.map((r) => r[k]!.strengthPercentVol)),
    lpa: quantiles(runs.map((r) => r[k]!.litresPureAlcohol)),
  }));
}

function futureLeak(
  store: SimulatedStore,
  cutoff: number,
  last: number,
  litres: number,
  random: Random,
): Leak | null {
  const wait = (-Math.log(random.uniform()) / store.store.people.leakPerYear) * 365.25;
  if (cutoff + wait > last) return null;
  return {
    startDay: Math.round(cutoff + wait),
    stopDay: null,
    litresPerYear: Math.exp(random.normal(Math.log(5), 0.9)) * (litres / 200) ** 0.4,
    heightShare: random.uniform() * 0.8,
  };
}

function resample(pool: Draw[], weights: number[], n: number, random: Random): Draw[] {
  const total = weights.reduce((a, b) => a + b, 0);
  const out: Draw[] = [];
  let u = (random.uniform() * total) / n;
  let at = 0;
  let sum = weights[0]!;
  for (let k = 0; k < n; k++) {
    while (sum < u && at < pool.length - 1) sum += weights[++at]!;
    out.push(pool[at]!);
    u += total / n;
  }
  return out;
}

function quantiles(values: number[]): Interval {
  const s = [...values].sort((a, b) => a - b);
  const q = (p: number): number => {
    const h = (s.length - 1) * p;
    const i = Math.floor(h);
    return i + 1 < s.length ? s[i]! + (h - i) * (s[i + 1]! - s[i]!) : s[i]!;
  };
  return { point: q(0.5), lo80: q(0.1), hi80: q(0.9), lo90: q(0.05), hi90: q(0.95) };
}
