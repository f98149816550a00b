import {
  BIAS,
  LEAK,
  N,
  NN,
  THETA_AT,
  addLeakShare,
  advance,
  copyHypothesis,
  createPool,
  measure,
  setLeak,
  shiftContent,
  type Pool,
} from './gaussian-pool.ts';
import {
  COPIED,
  GOOD,
  isBlunder,
  KIND_SHARE,
  KINDS,
  LEAK_LEVELS,
  LEAK_LEVEL_SHARE,
  LEAK_STARTS,
  LEAK_STOPS,
  LEVEL_SPREAD,
  LITRES_WRONG,
  NOTHING,
  ONSETS,
  OTHER_CASK,
  SLOPPY,
  STEP,
  STEP_LITRES,
  STEP_SHARE,
  briefLeakChance,
  leakShareOfStep,
  STRENGTH_WRONG,
  UNCORRECTED,
  type FilterModel,
} from './filter-model.ts';
import { COLUMNS, gaugeContent, type Gauged, type Linearisation } from './linearise.ts';
import { HUMIDITY, LN_KE, LN_KW, SLOPPY_SCALE, SLOPPY_SHARE, THETA_COUNT } from './priors.ts';
import type { Reading, Segment } from './segments.ts';

/** What is believed of a segment before its readings. */
export interface SegmentPrior {
  thetaMean: Float64Array;
  /** THETA_COUNT² */
  thetaCovariance: Float64Array;
  /** ethanol and water at the start about the nominal: variances and covariance, kg² */
  startEE: number;
  startEW: number;
  startWW: number;
  /** where the nominal course starts matters: mean deviation of the start, kg */
  startE: number;
  startW: number;
}

export const MAX_LIVE = 24;
const MAX_CANDIDATES = 8192;
/** a hypothesis this much less likely than the best is let go (natural logarithm) */
const DROP_BELOW = 11;

export interface FilterWorkspace {
  live: Pool;
  spare: Pool;
  liveCount: number;
  parent: Int32Array;
  choice: Int32Array;
  weight: Float64Array;
  candidates: number;
  /** copy marks by reading */
  gauged: Gauged;
  /** nominal gauged at the start of the interval */
  startGauged: Gauged;
  toEthanol: Float64Array;
  toWater: Float64Array;
}

export function createFilterWorkspace(): FilterWorkspace {
  const g = (): Gauged => ({
    litres: 0,
    strength: 0,
    litresByEthanol: 0,
    litresByWater: 0,
    strengthByEthanol: 0,
    strengthByWater: 0,
  });
  return {
    live: createPool(MAX_LIVE, 64),
    spare: createPool(MAX_LIVE, 64),
    liveCount: 0,
    parent: new Int32Array(MAX_CANDIDATES),
    choice: new Int32Array(MAX_CANDIDATES),
    weight: new Float64Array(MAX_CANDIDATES),
    candidates: 0,
    gauged: g(),
    startGauged: g(),
    toEthanol: new Float64Array(N),
    toWater: new Float64Array(N),
  };
}

/** choice = what × 2^0…1, onset × 2^2…4, level × 2^5…8, kind × 2^9… */
const pack = (what: number, onset: number, level: number, kind: number): number =>
  what | (onset << 2) | (level << 5) | (kind << 9);
export const whatOf = (choice: number): number => choice & 3;
export const onsetOf = (choice: number): number => (choice >> 2) & 7;
export const levelOf = (choice: number): number => (choice >> 5) & 15;
export const kindOf = (choice: number): number => choice >> 9;

const LN_2PI = Math.log(2 * Math.PI);

const lnNormal2 = (x: number, y: number, xx: number, xy: number, yy: number): number => {
  const det = Math.max(xx * yy - xy * xy, 1e-12);
  return -LN_2PI - 0.5 * Math.log(det) - (x * x * yy - 2 * x * y * xy + y * y * xx) / (2 * det);
};
const lnNormal = (x: number, xx: number): number =>
  -0.5 * (LN_2PI + Math.log(xx)) - (x * x) / (2 * xx);

/** ln density of litres that have nothing to do with this cask's content */
const lnAnyLitres = (litres: number, capacity: number): number =>
  litres >= 0 && litres <= 1.15 * capacity
    ? Math.log(0.9 / (1.15 * capacity))
    : Math.log(0.1 / (10 * capacity));
/** ln density of a mistyped strength */
const LN_ANY_STRENGTH = Math.log(1 / 40);

/** how well the usual correction of hydrometers describes what was left out, relative */
const UNCORRECTED_SD = 0.08;

/**
 * Runs the readings of a segment through every explanation worth keeping. On return the live pool
 * holds them with normalised `logWeight`s, at the day of the last mark. Returns the log evidence.
 *
 * With `forced` (a choice per reading) only that explanation is followed.
 */
export function filterSegment(
  ws: FilterWorkspace,
  lin: Linearisation,
  segment: Segment,
  prior: SegmentPrior,
  model: FilterModel,
  forced: Int32Array | null = null,
): number {
  const { readings, vessel } = segment;
  ensureReadings(ws, readings.length);
  startPool(ws, lin, prior, model, readings);
  let reading = 0;
  let lastDay = segment.fromDay;
  let evidence = 0;
  for (let m = 0; m < lin.marks.length; m++) {
    const day = lin.marks[m]!;
    const years = (day - lastDay) / 365.25;
    const interval = prepareInterval(ws, lin, segment, m, lastDay, day, model);
    for (let h = 0; h < ws.liveCount; h++) {
      stepHypothesis(ws, h, lastDay, day, interval, segment);
    }
    let first = true;
    while (reading < readings.length && readings[reading]!.day === day) {
      const r = readings[reading]!;
      gaugeContent(lin.nominal[m * 2]!, lin.nominal[m * 2 + 1]!, ws.gauged);
      ws.candidates = 0;
      enumerate(ws, r, reading, readings, first ? years : 0, model, vessel.capacityLitres, forced);
      evidence += keepBest(ws, r, reading, lastDay, day, model, vessel.capacityLitres);
      reading++;
      first = false;
    }
    lastDay = day;
  }
  return evidence;
}

function ensureReadings(ws: FilterWorkspace, readings: number): void {
  if (ws.live.readings >= readings) return;
  ws.live = createPool(MAX_LIVE, readings * 2);
  ws.spare = createPool(MAX_LIVE, readings * 2);
}

export const dipBiasVariance = (readings: readonly Reading[], model: FilterModel): number => {
  const dip = readings.find((r) => r.dip);
  return dip ? model.dipBiasShare * (dip.uLitres * model.dipScale) ** 2 : 0;
};

function startPool(
  ws: FilterWorkspace,
  lin: Linearisation,
  prior: SegmentPrior,
  model: FilterModel,
  readings: readonly Reading[],
): void {
  const { live } = ws;
  live.mean.fill(0, 0, N);
  live.covariance.fill(0, 0, NN);
  live.mean[0] = prior.startE;
  live.mean[1] = prior.startW;
  live.covariance[0] = prior.startEE;
  live.covariance[1] = prior.startEW;
  live.covariance[N] = prior.startEW;
  live.covariance[N + 1] = prior.startWW;
  for (let i = 0; i < THETA_COUNT; i++) {
    live.mean[THETA_AT + i] = prior.thetaMean[i]! - lin.parameters[2 + i]!;
    for (let j = 0; j < THETA_COUNT; j++) {
      live.covariance[(THETA_AT + i) * N + THETA_AT + j] =
        prior.thetaCovariance[i * THETA_COUNT + j]!;
    }
  }
  live.covariance[BIAS * N + BIAS] = dipBiasVariance(readings, model);
  live.logWeight[0] = 0;
  live.leakStart[0] = NaN;
  live.leakStop[0] = NaN;
  live.stepDay[0] = NaN;
  live.stepLitres[0] = 0;
  live.stepIsLeak[0] = 0;
  live.leakRate[0] = 0;
  live.choice.fill(0, 0, live.readings);
  ws.liveCount = 1;
}

interface Interval {
  noiseEE: number;
  noiseEW: number;
  noiseWW: number;
  /** kg of ethanol and water in a litre of content */
  ethanolPerLitre: number;
  waterPerLitre: number;
}

const interval: Interval = {
  noiseEE: 0,
  noiseEW: 0,
  noiseWW: 0,
  ethanolPerLitre: 0,
  waterPerLitre: 0,
};

/** Transition rows and noise between the mark before and mark `m`. */
function prepareInterval(
  ws: FilterWorkspace,
  lin: Linearisation,
  segment: Segment,
  m: number,
  fromDay: number,
  toDay: number,
  model: FilterModel,
): Interval {
  const s = lin.sensitivity;
  const at = m * 2 * COLUMNS;
  const before = at - 2 * COLUMNS;
  // d(content at the mark before)/d(start): identity at the start itself
  const a = m === 0 ? 1 : s[before]!;
  const b = m === 0 ? 0 : s[before + 1]!;
  const c = m === 0 ? 0 : s[before + COLUMNS]!;
  const d = m === 0 ? 1 : s[before + COLUMNS + 1]!;
  const det = a * d - b * c;
  const { toEthanol, toWater } = ws;
  toEthanol.fill(0);
  toWater.fill(0);
  if (Math.abs(det) > 1e-9) {
    const p = s[at]!;
    const q = s[at + 1]!;
    const u = s[at + COLUMNS]!;
    const v = s[at + COLUMNS + 1]!;
    toEthanol[0] = (p * d - q * c) / det;
    toEthanol[1] = (q * a - p * b) / det;
    toWater[0] = (u * d - v * c) / det;
    toWater[1] = (v * a - u * b) / det;
  }
  for (let j = 0; j < THETA_COUNT; j++) {
    const ge = m === 0 ? 0 : s[before + 2 + j]!;
    const gw = m === 0 ? 0 : s[before + COLUMNS + 2 + j]!;
    toEthanol[THETA_AT + j] = s[at + 2 + j]! - toEthanol[0]! * ge - toEthanol[1]! * gw;
    toWater[THETA_AT + j] = s[at + COLUMNS + 2 + j]! - toWater[0]! * ge - toWater[1]! * gw;
  }
  const years = Math.max((toDay - fromDay) / 365.25, 1e-6);
  const stay = segment.stays[segment.stays.length - 1]!;
  const unlogged = unloggedShare(lin, fromDay, toDay);
  // single years: the cask's own, and the weather's where no logger saw it
  const own = model.yearSd ** 2 + unlogged * stay.drives.yearSpreadLnPressure ** 2;
  const lossE = toEthanol[THETA_AT + LN_KE]!;
  const lossW = toWater[THETA_AT + LN_KW]!;
  const damp = unlogged * stay.drives.yearSpreadHumidity ** 2;
  const dampE = toEthanol[THETA_AT + HUMIDITY]!;
  const dampW = toWater[THETA_AT + HUMIDITY]!;
  const share = 1 / Math.max(years, 0.25);
  const content = contentPerLitre(lin, m, ws);
  const draw = model.unloggedSquaresPerYear * years;
  const pe = content.ethanolPerLitre;
  const pw = content.waterPerLitre;
  interval.noiseEE = share * (own * lossE * lossE + damp * dampE * dampE) + draw * pe * pe;
  interval.noiseEW = share * (own * lossE * lossW + damp * dampE * dampW) + draw * pe * pw;
  interval.noiseWW = share * (own * lossW * lossW + damp * dampW * dampW) + draw * pw * pw;
  interval.ethanolPerLitre = pe;
  interval.waterPerLitre = pw;
  return interval;
}

function contentPerLitre(
  lin: Linearisation,
  m: number,
  ws: FilterWorkspace,
): { ethanolPerLitre: number; waterPerLitre: number } {
  const e = lin.nominal[m * 2]!;
  const w = lin.nominal[m * 2 + 1]!;
  gaugeContent(e, w, ws.startGauged);
  const litres = ws.startGauged.litres;
  return litres > 0.5
    ? { ethanolPerLitre: e / litres, waterPerLitre: w / litres }
    : { ethanolPerLitre: 0, waterPerLitre: 0 };
}

function unloggedShare(lin: Linearisation, fromDay: number, toDay: number): number {
  const { steps } = lin;
  let all = 0;
  let blind = 0;
  for (let i = 0; i < steps.count; i++) {
    if (steps.lastDay[i]! <= fromDay) continue;
    if (steps.firstDay[i]! >= toDay) break;
    all += steps.seconds[i]!;
    blind += steps.seconds[i]! * (1 - steps.logged[i]!);
  }
  return all > 0 ? blind / all : 0;
}

function stepHypothesis(
  ws: FilterWorkspace,
  h: number,
  fromDay: number,
  toDay: number,
  span: Interval,
  segment: Segment,
): void {
  const { live, toEthanol, toWater } = ws;
  let leaking = 0;
  if (Number.isFinite(live.leakStart[h]!) && !Number.isFinite(live.leakStop[h]!)) {
    let until = toDay;
    for (const repair of segment.repairDays) {
      if (repair >= live.leakStart[h]! && repair < until) until = repair;
    }
    leaking = Math.max(0, until - Math.max(fromDay, live.leakStart[h]!)) / 365.25;
    if (until < toDay) live.leakStop[h] = until;
  }
  toEthanol[LEAK] = -leaking * span.ethanolPerLitre;
  toWater[LEAK] = -leaking * span.waterPerLitre;
  advance(live, h, toEthanol, toWater, span.noiseEE, span.noiseEW, span.noiseWW);
  if (Number.isFinite(live.leakStop[h]!) && live.mean[h * N + LEAK] !== 0) {
    live.leakRate[h] = live.mean[h * N + LEAK]!;
    setLeak(live, h, 0, 0);
  }
}

/** Weighs every way from the live hypotheses through this reading. */
function enumerate(
  ws: FilterWorkspace,
  r: Reading,
  index: number,
  readings: readonly Reading[],
  years: number,
  model: FilterModel,
  capacity: number,
  forced: Int32Array | null,
): void {
  const { live, gauged: g } = ws;
  const copied = readings.some(
    (o, i) =>
      i < index &&
      Math.abs(o.litres - r.litres) < 0.051 &&
      Math.abs(o.strength - r.strength) < 0.051,
  );
  const scale = (capacity / 200) ** 0.4;
  const leakChance = 1 - Math.exp(-model.leaksPerYear * years);
  const stepChance = Math.min(0.5, model.stepsPerYear * years + briefLeakChance(model, years));
  const stopChance = 1 - Math.exp(-model.leakStopsPerYear * years);
  let best = -Infinity;
  for (let h = 0; h < ws.liveCount; h++) best = Math.max(best, live.logWeight[h]!);
  for (let h = 0; h < ws.liveCount; h++) {
    const m = h * N;
    const c = h * NN;
    const P = live.covariance;
    const ve = g.litresByEthanol;
    const vw = g.litresByWater;
    const vb = r.dip ? 1 : 0;
    const se = g.strengthByEthanol;
    const sw = g.strengthByWater;
    const ee = P[c]!;
    const ew = P[c + 1]!;
    const ww = P[c + N + 1]!;
    const be = P[c + BIAS * N]!;
    const bw = P[c + BIAS * N + 1]!;
    const bb = P[c + BIAS * N + BIAS]!;
    const noiseV = litresNoise(r, model);
    const noiseS = strengthNoise(r, model);
    const vv =
      ve * ve * ee +
      2 * ve * vw * ew +
      vw * vw * ww +
      vb * (2 * ve * be + 2 * vw * bw + bb) +
      noiseV;
    const vs = ve * se * ee + (ve * sw + vw * se) * ew + vw * sw * ww + vb * (se * be + sw * bw);
    const ss = se * se * ee + 2 * se * sw * ew + sw * sw * ww + noiseS;
    const dv =
      r.litres - g.litres - ve * live.mean[m]! - vw * live.mean[m + 1]! - vb * live.mean[m + BIAS]!;
    const ds = r.strength - g.strength - se * live.mean[m]! - sw * live.mean[m + 1]!;
    const lw = live.logWeight[h]!;
    const started = Number.isFinite(live.leakStart[h]!);
    const running = started && !Number.isFinite(live.leakStop[h]!);
    const stepped = Number.isFinite(live.stepDay[h]!);
    const plain = Math.log(
      Math.max(
        1e-9,
        1 - (started ? (running ? stopChance : 0) : leakChance) - (stepped ? 0 : stepChance),
      ),
    );
    weighKinds(
      ws,
      h,
      r,
      pack(NOTHING, 0, 0, 0),
      lw + plain,
      dv,
      ds,
      vv,
      vs,
      ss,
      copied,
      model,
      capacity,
      forced,
      index,
    );
    if (years <= 0 || lw < best - 7) continue;
    if (!started && leakChance > 0) {
      for (let o = 0; o < ONSETS.length; o++) {
        const running = years * (1 - ONSETS[o]!);
        for (let level = 0; level < LEAK_LEVELS.length; level++) {
          const rate =
            model.leakLitresPerYear * scale * Math.exp(LEAK_LEVELS[level]! * model.leakLnSd);
          const lost = rate * running;
          const p = lw + Math.log((leakChance / ONSETS.length) * LEAK_LEVEL_SHARE[level]!);
          weighKinds(
            ws,
            h,
            r,
            pack(LEAK_STARTS, o, level, 0),
            p,
            dv + lost,
            ds,
            vv + (LEVEL_SPREAD * lost) ** 2,
            vs,
            ss,
            copied,
            model,
            capacity,
            forced,
            index,
          );
        }
      }
    }
    if (running && stopChance > 0) {
      const leakMean = live.mean[m + LEAK]!;
      const leakV =
        ve * P[c + LEAK * N]! + vw * P[c + LEAK * N + 1]! + vb * P[c + LEAK * N + BIAS]!;
      const leakS = se * P[c + LEAK * N]! + sw * P[c + LEAK * N + 1]!;
      const leakVar = P[c + LEAK * N + LEAK]!;
      for (let o = 0; o < ONSETS.length; o++) {
        const dry = years * (1 - ONSETS[o]!);
        const p = lw + Math.log(stopChance / ONSETS.length);
        weighKinds(
          ws,
          h,
          r,
          pack(LEAK_STOPS, o, 0, 0),
          p,
          dv - dry * leakMean,
          ds,
          vv + 2 * dry * leakV + dry * dry * leakVar,
          vs + dry * leakS,
          ss,
          copied,
          model,
          capacity,
          forced,
          index,
        );
      }
    }
    if (!stepped && stepChance > 0) {
      for (let level = 0; level < STEP_LITRES.length; level++) {
        const lost = STEP_LITRES[level]! * scale;
        const p = lw + Math.log(stepChance * STEP_SHARE[level]!);
        weighKinds(
          ws,
          h,
          r,
          pack(STEP, 1, level, 0),
          p,
          dv + lost,
          ds,
          vv + (LEVEL_SPREAD * lost) ** 2,
          vs,
          ss,
          copied,
          model,
          capacity,
          forced,
          index,
        );
      }
    }
  }
}

const litresNoise = (r: Reading, model: FilterModel): number => {
  const u2 = r.uLitres * r.uLitres;
  return r.dip ? u2 * (1 - model.dipBiasShare) * model.dipScale * model.dipScale : u2;
};
const strengthNoise = (r: Reading, model: FilterModel): number =>
  (r.uStrength * model.strengthScale) ** 2;

const uncorrectedNoise = (shift: number): number => (UNCORRECTED_SD * shift) ** 2 + 0.01;

function weighKinds(
  ws: FilterWorkspace,
  parent: number,
  r: Reading,
  choice: number,
  logPrior: number,
  dv: number,
  ds: number,
  vv: number,
  vs: number,
  ss: number,
  copied: boolean,
  model: FilterModel,
  capacity: number,
  forced: Int32Array | null,
  index: number,
): void {
  const shift = r.uncorrected;
  for (let kind = 0; kind < KINDS; kind++) {
    const code = choice | (kind << 9);
    if (forced && forced[index] !== code) continue;
    if (r.verdict === 'confirmed' && isBlunder(kind)) continue;
    if (r.verdict === 'dismissed' && kind !== OTHER_CASK) continue;
    let p = logPrior;
    if (kind === GOOD) {
      p += Math.log(1 - model.blunderShare - SLOPPY_SHARE) + lnNormal2(dv, ds, vv, vs, ss);
    } else if (kind === SLOPPY) {
      const wider = SLOPPY_SCALE ** 2 - 1;
      const v = vv + wider * litresNoise(r, model);
      p += Math.log(SLOPPY_SHARE) + lnNormal2(dv, ds, v, vs, ss + wider * strengthNoise(r, model));
    } else {
      p += Math.log(model.blunderShare * KIND_SHARE[kind]!);
      if (kind === OTHER_CASK) {
        p +=
          lnAnyLitres(r.litres, capacity) +
          lnNormal(r.strength - model.meanStrength, (2 * model.sdStrength) ** 2);
      } else if (kind === LITRES_WRONG) {
        p += lnAnyLitres(r.litres, capacity) + lnNormal(ds, ss);
      } else if (kind === STRENGTH_WRONG) p += lnNormal(dv, vv) + LN_ANY_STRENGTH;
      else if (kind === UNCORRECTED) {
        if (shift === null) continue;
        p += lnNormal2(dv, ds - shift, vv, vs, ss + uncorrectedNoise(shift));
      } else if (copied) p += Math.log(100);
      else continue;
    }
    if (ws.candidates < MAX_CANDIDATES) {
      ws.parent[ws.candidates] = parent;
      ws.choice[ws.candidates] = code;
      ws.weight[ws.candidates] = p;
      ws.candidates++;
    }
  }
}

/** Keeps the likeliest candidates, carries them out, normalises; returns the log of their sum. */
function keepBest(
  ws: FilterWorkspace,
  r: Reading,
  index: number,
  fromDay: number,
  day: number,
  model: FilterModel,
  capacity: number,
): number {
  const { weight, candidates } = ws;
  if (candidates === 0) return -1e6;
  let best = -Infinity;
  for (let i = 0; i < candidates; i++) if (weight[i]! > best) best = weight[i]!;
  let sum = 0;
  for (let i = 0; i < candidates; i++) sum += Math.exp(weight[i]! - best);
  const total = best + Math.log(sum);
  let kept = 0;
  while (kept < MAX_LIVE) {
    let at = -1;
    let w = best - DROP_BELOW;
    for (let i = 0; i < candidates; i++) {
      if (weight[i]! > w) {
        w = weight[i]!;
        at = i;
      }
    }
    if (at < 0) break;
    copyHypothesis(ws.live, ws.parent[at]!, ws.spare, kept);
    carryOut(ws, kept, ws.choice[at]!, r, index, fromDay, day, model, capacity);
    ws.spare.logWeight[kept] = w - total;
    weight[at] = -Infinity;
    kept++;
  }
  const swap = ws.live;
  ws.live = ws.spare;
  ws.spare = swap;
  ws.liveCount = kept;
  return total;
}

function carryOut(
  ws: FilterWorkspace,
  i: number,
  code: number,
  r: Reading,
  index: number,
  fromDay: number,
  day: number,
  model: FilterModel,
  capacity: number,
): void {
  const pool = ws.spare;
  const g = ws.gauged;
  pool.choice[i * pool.readings + index] = code;
  const onset = fromDay + (day - fromDay) * ONSETS[onsetOf(code)]!;
  const running = (day - onset) / 365.25;
  const { ethanolPerLitre, waterPerLitre } = interval;
  switch (whatOf(code)) {
    case LEAK_STARTS: {
      const rate =
        model.leakLitresPerYear *
        (capacity / 200) ** 0.4 *
        Math.exp(LEAK_LEVELS[levelOf(code)]! * model.leakLnSd);
      setLeak(pool, i, rate, (LEVEL_SPREAD * rate) ** 2);
      addLeakShare(pool, i, -running * ethanolPerLitre, -running * waterPerLitre);
      pool.leakStart[i] = onset;
      break;
    }
    case LEAK_STOPS:
      addLeakShare(pool, i, running * ethanolPerLitre, running * waterPerLitre);
      pool.leakRate[i] = pool.mean[i * N + LEAK]!;
      setLeak(pool, i, 0, 0);
      pool.leakStop[i] = onset;
      break;
    case STEP: {
      const lost = STEP_LITRES[levelOf(code)]! * (capacity / 200) ** 0.4;
      shiftContent(pool, i, -ethanolPerLitre, -waterPerLitre, lost, (LEVEL_SPREAD * lost) ** 2);
      pool.stepDay[i] = onset;
      pool.stepLitres[i] = lost;
      pool.stepIsLeak[i] = leakShareOfStep(model, (day - fromDay) / 365.25);
    }
  }
  const kind = kindOf(code);
  const looser = kind === SLOPPY ? SLOPPY_SCALE ** 2 : 1;
  if (kind !== OTHER_CASK && kind !== LITRES_WRONG && kind !== COPIED) {
    measure(
      pool,
      i,
      g.litresByEthanol,
      g.litresByWater,
      r.dip ? 1 : 0,
      r.litres - g.litres,
      looser * litresNoise(r, model),
    );
  }
  if (kind !== OTHER_CASK && kind !== STRENGTH_WRONG && kind !== COPIED) {
    const shift = kind === UNCORRECTED ? r.uncorrected! : 0;
    measure(
      pool,
      i,
      g.strengthByEthanol,
      g.strengthByWater,
      0,
      r.strength - g.strength - shift,
      looser * strengthNoise(r, model) + (kind === UNCORRECTED ? uncorrectedNoise(shift) : 0),
    );
  }
}
