import { pack, withKind } from './choice.ts';
import {
  briefLeakChance,
  COPIED,
  LEAK_LEVEL_SHARE,
  LEAK_LEVELS,
  LEAK_STARTS,
  LEAK_STOPS,
  LEVEL_SPREAD,
  LITRES_WRONG,
  NOTHING,
  ONSETS,
  OTHER_CASK,
  STEP,
  STEP_LITRES,
  STEP_SHARE,
  type FilterModel,
} from './filter-model.ts';
import {
  propose,
  type FilterEffort,
  type FilterWorkspace,
  type Innovation,
} from './filter-workspace.ts';
import { BIAS, LEAK, N, NN } from './gaussian-pool.ts';
import { distance2, lnLikelihood, type ReadingFacts } from './reading-kinds.ts';
import type { Reading } from './segments.ts';

/** A hypothesis this much less likely than the best gets no new leaks or withdrawals. */
const BRANCH_WITHIN = 6;

/** Size of what leaks from a cask relative to a 200 L one. */
export const leakScale = (capacityLitres: number): number => (capacityLitres / 200) ** 0.4;

/** share of a content that a leak can take */
const MOST_LEAKED = 0.98;

/** What a leak has taken of a content: it ends when the cask has run dry. */
export const mostLeaked = (litres: number, content: number): number =>
  Math.min(litres, Math.max(0, MOST_LEAKED * content));

/** Chances of what may have happened in an interval. */
interface Chances {
  leak: number;
  step: number;
  stop: number;
}

const tried: Innovation = { dv: 0, ds: 0, vv: 0, vs: 0, ss: 0 };

/**
 * Weighs every way from the live hypotheses through a reading: what happened in the interval before
 * it (nothing, a leak begun, a leak stopped, litres gone at one go) times how the reading came about.
 * `years` is 0 for a second reading of the same day.
 */
export function weighCandidates(
  ws: FilterWorkspace,
  r: Reading,
  index: number,
  facts: ReadingFacts,
  years: number,
  model: FilterModel,
  capacityLitres: number,
  effort: FilterEffort,
  forced: Int32Array | null,
): void {
  const { live } = ws;
  ws.candidates = 0;
  const only = forced === null ? -1 : forced[index]!;
  const chances: Chances = {
    leak: 1 - Math.exp(-model.leaksPerYear * years),
    step: Math.min(0.5, model.stepsPerYear * years + briefLeakChance(model, years)),
    stop: 1 - Math.exp(-model.leakStopsPerYear * years),
  };
  let best = -Infinity;
  for (let h = 0; h < ws.liveCount; h++) best = Math.max(best, live.logWeight[h]!);
  for (let h = 0; h < ws.liveCount; h++) {
    expect(ws, h, r, facts);
    const started = Number.isFinite(live.leakStart[h]!);
    const running = started && !Number.isFinite(live.leakStop[h]!);
    const stepped = Number.isFinite(live.stepDay[h]!);
    const lw = live.logWeight[h]!;
    const something =
      (started ? (running ? chances.stop : 0) : chances.leak) + (stepped ? 0 : chances.step);
    weigh(
      ws,
      h,
      r,
      facts,
      pack(NOTHING, 0, 0),
      lw + Math.log(Math.max(1e-9, 1 - something)),
      ws.innovation,
      only,
    );
    const near = distance2(ws.innovation) < effort.nearEnough || lw < best - BRANCH_WITHIN;
    if (years <= 0 || (only < 0 && near)) continue;
    if (!started) leaksBegun(ws, h, r, facts, years, chances.leak, model, capacityLitres, only);
    if (running) leaksStopped(ws, h, r, facts, years, chances.stop, only);
    if (!stepped) litresGone(ws, h, r, facts, chances.step, capacityLitres, only);
  }
}

/** What hypothesis h expects of the reading, into `ws.innovation`. */
function expect(ws: FilterWorkspace, h: number, r: Reading, facts: ReadingFacts): void {
  const { live, gauged: g, innovation: out } = ws;
  const P = live.covariance;
  const m = h * N;
  const c = h * NN;
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
  out.vv =
    ve * ve * ee +
    2 * ve * vw * ew +
    vw * vw * ww +
    vb * (2 * ve * be + 2 * vw * bw + bb) +
    facts.noiseLitres;
  out.vs = ve * se * ee + (ve * sw + vw * se) * ew + vw * sw * ww + vb * (se * be + sw * bw);
  out.ss = se * se * ee + 2 * se * sw * ew + sw * sw * ww + facts.noiseStrength;
  out.dv =
    r.litres - g.litres - ve * live.mean[m]! - vw * live.mean[m + 1]! - vb * live.mean[m + BIAS]!;
  out.ds = r.strength - g.strength - se * live.mean[m]! - sw * live.mean[m + 1]!;
}

function leaksBegun(
  ws: FilterWorkspace,
  h: number,
  r: Reading,
  facts: ReadingFacts,
  years: number,
  chance: number,
  model: FilterModel,
  capacityLitres: number,
  only: number,
): void {
  const { innovation: at } = ws;
  const { onsets } = ws.interval;
  const median = model.leakLitresPerYear * leakScale(capacityLitres);
  const lw = ws.live.logWeight[h]!;
  const content = r.litres - at.dv;
  for (let o = 0; o < ONSETS.length; o++) {
    for (let level = 0; level < LEAK_LEVELS.length; level++) {
      const wanted =
        median * Math.exp(LEAK_LEVELS[level]! * model.leakLnSd) * years * (1 - onsets[o]!);
      const lost = mostLeaked(wanted, content);
      tried.dv = at.dv + lost;
      tried.ds = at.ds;
      tried.vv = at.vv + (LEVEL_SPREAD * lost) ** 2;
      tried.vs = at.vs;
      tried.ss = at.ss;
      const p = lw + Math.log((chance / ONSETS.length) * LEAK_LEVEL_SHARE[level]!);
      weigh(ws, h, r, facts, pack(LEAK_STARTS, o, level), p, tried, only);
    }
  }
}

function leaksStopped(
  ws: FilterWorkspace,
  h: number,
  r: Reading,
  facts: ReadingFacts,
  years: number,
  chance: number,
  only: number,
): void {
  const { innovation: at, live, gauged: g } = ws;
  const { onsets } = ws.interval;
  const c = h * NN + LEAK * N;
  const P = live.covariance;
  const rate = live.mean[h * N + LEAK]!;
  const withV =
    g.litresByEthanol * P[c]! + g.litresByWater * P[c + 1]! + (r.dip ? P[c + BIAS]! : 0);
  const withS = g.strengthByEthanol * P[c]! + g.strengthByWater * P[c + 1]!;
  const variance = P[c + LEAK]!;
  for (let o = 0; o < ONSETS.length; o++) {
    const dry = years * (1 - onsets[o]!);
    tried.dv = at.dv - dry * rate;
    tried.ds = at.ds;
    tried.vv = at.vv + 2 * dry * withV + dry * dry * variance;
    tried.vs = at.vs + dry * withS;
    tried.ss = at.ss;
    const p = live.logWeight[h]! + Math.log(chance / ONSETS.length);
    weigh(ws, h, r, facts, pack(LEAK_STOPS, o, 0), p, tried, only);
  }
}

function litresGone(
  ws: FilterWorkspace,
  h: number,
  r: Reading,
  facts: ReadingFacts,
  chance: number,
  capacityLitres: number,
  only: number,
): void {
  const { innovation: at } = ws;
  for (let level = 0; level < STEP_LITRES.length; level++) {
    const lost = STEP_LITRES[level]! * leakScale(capacityLitres);
    tried.dv = at.dv + lost;
    tried.ds = at.ds;
    tried.vv = at.vv + (LEVEL_SPREAD * lost) ** 2;
    tried.vs = at.vs;
    tried.ss = at.ss;
    const p = ws.live.logWeight[h]! + Math.log(chance * STEP_SHARE[level]!);
    weigh(ws, h, r, facts, pack(STEP, 1, level), p, tried, only);
  }
}

/** Proposes one course of the interval with every way the reading may have come about. */
function weigh(
  ws: FilterWorkspace,
  h: number,
  r: Reading,
  facts: ReadingFacts,
  choice: number,
  lnPrior: number,
  innovation: Innovation,
  only: number,
): void {
  for (const kind of facts.kinds) {
    const code = withKind(choice, kind);
    if (only >= 0 && only !== code) continue;
    // a reading whose litres say nothing cannot tell of litres lost
    const mute = kind === OTHER_CASK || kind === LITRES_WRONG || kind === COPIED;
    if (mute && choice !== NOTHING) continue;
    propose(ws, h, code, lnPrior + lnLikelihood(kind, facts, r, innovation));
  }
}
