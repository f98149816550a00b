import { ONSETS, type FilterModel } from './filter-model.ts';
import type { FilterWorkspace } from './filter-workspace.ts';
import { advance, LEAK, N, setLeak, THETA_AT } from './gaussian-pool.ts';
import { COLUMNS, emptyGauged, gaugeContent, type Linearisation } from './linearise.ts';
import { HUMIDITY, LN_KE, LN_KW, THETA_COUNT } from './priors.ts';
import type { Segment } from './segments.ts';

/** Below this content a cask is empty and nothing is passed on, litres. */
const EMPTY_LITRES = 0.5;

const gauged = emptyGauged();

/** Transition rows and noise of the time between the mark before and mark `m`. */
export function prepareInterval(
  ws: FilterWorkspace,
  lin: Linearisation,
  segment: Segment,
  m: number,
  fromDay: number,
  model: FilterModel,
): void {
  const { interval } = ws;
  interval.fromDay = fromDay;
  interval.toDay = lin.marks[m]!;
  interval.years = (interval.toDay - fromDay) / 365.25;
  interval.onsets = onsetsIn(segment, fromDay, interval.toDay);
  transition(ws, lin, m);
  gaugeContent(lin.nominal[m * 2]!, lin.nominal[m * 2 + 1]!, gauged);
  const empty = gauged.litres < EMPTY_LITRES;
  interval.ethanolPerLitre = empty ? 0 : lin.nominal[m * 2]! / gauged.litres;
  interval.waterPerLitre = empty ? 0 : lin.nominal[m * 2 + 1]! / gauged.litres;
  noise(ws, lin, segment, model);
}

/** Where a leak may begin in the interval: as the keeper says, else spread over it. */
function onsetsIn(segment: Segment, fromDay: number, toDay: number): readonly number[] {
  for (const { sinceDay } of segment.inspections) {
    if (sinceDay !== null && sinceDay >= fromDay && sinceDay < toDay) {
      return ONSETS.map(() => (sinceDay - fromDay) / (toDay - fromDay));
    }
  }
  return ONSETS;
}

/** d(content now)/d(content and θ at the mark before), from derivatives by the start. */
function transition(ws: FilterWorkspace, lin: Linearisation, m: number): void {
  const { toEthanol, toWater } = ws.interval;
  const s = lin.sensitivity;
  const at = m * 2 * COLUMNS;
  const before = at - 2 * COLUMNS;
  const first = m === 0;
  const a = first ? 1 : s[before]!;
  const b = first ? 0 : s[before + 1]!;
  const c = first ? 0 : s[before + COLUMNS]!;
  const d = first ? 1 : s[before + COLUMNS + 1]!;
  const det = a * d - b * c;
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
    const ge = first ? 0 : s[before + 2 + j]!;
    const gw = first ? 0 : s[before + COLUMNS + 2 + j]!;
    toEthanol[THETA_AT + j] = s[at + 2 + j]! - toEthanol[0]! * ge - toEthanol[1]! * gw;
    toWater[THETA_AT + j] = s[at + COLUMNS + 2 + j]! - toWater[0]! * ge - toWater[1]! * gw;
  }
}

/** Single years of the cask, weather no logger saw, samples nobody wrote down. */
function noise(
  ws: FilterWorkspace,
  lin: Linearisation,
  segment: Segment,
  model: FilterModel,
): void {
  const { interval } = ws;
  const { toEthanol, toWater } = interval;
  const years = Math.max(interval.years, 1e-6);
  const { drives } = segment.stays.at(-1)!;
  const blind = unloggedShare(lin, interval.fromDay, interval.toDay);
  const share = 1 / Math.max(years, 0.25);
  const own = share * (model.yearSd ** 2 + blind * drives.yearSpreadLnPressure ** 2);
  const damp = share * blind * drives.yearSpreadHumidity ** 2;
  const draw = model.unloggedSquaresPerYear * years;
  const lossE = toEthanol[THETA_AT + LN_KE]!;
  const lossW = toWater[THETA_AT + LN_KW]!;
  const dampE = toEthanol[THETA_AT + HUMIDITY]!;
  const dampW = toWater[THETA_AT + HUMIDITY]!;
  const { ethanolPerLitre: pe, waterPerLitre: pw } = interval;
  interval.noiseEE = own * lossE * lossE + damp * dampE * dampE + draw * pe * pe;
  interval.noiseEW = own * lossE * lossW + damp * dampE * dampW + draw * pe * pw;
  interval.noiseWW = own * lossW * lossW + damp * dampW * dampW + draw * pw * pw;
}

function unloggedShare(lin: Linearisation, fromDay: number, toDay: number): number {
  const { firstDay, lastDay, seconds, logged, count } = lin.steps;
  let all = 0;
  let blind = 0;
  for (let i = 0; i < count; i++) {
    if (lastDay[i]! <= fromDay) continue;
    if (firstDay[i]! >= toDay) break;
    all += seconds[i]!;
    blind += seconds[i]! * (1 - logged[i]!);
  }
  return all > 0 ? blind / all : 0;
}

/** Takes a live hypothesis through the interval; a repair on the way ends its leak. */
export function passInterval(ws: FilterWorkspace, h: number, segment: Segment): void {
  const { live, interval } = ws;
  const { fromDay, toDay, toEthanol, toWater } = interval;
  let leaking = 0;
  if (Number.isFinite(live.leakStart[h]!) && !Number.isFinite(live.leakStop[h]!)) {
    let until = toDay;
    for (const repair of segment.repairDays) {
      if (repair >= live.leakStart[h]! && repair < until) until = repair;
    }
    leaking = Math.max(0, until - Math.max(fromDay, live.leakStart[h]!)) / 365.25;
    if (until < toDay) live.leakStop[h] = until;
  }
  toEthanol[LEAK] = -leaking * interval.ethanolPerLitre;
  toWater[LEAK] = -leaking * interval.waterPerLitre;
  advance(live, h, toEthanol, toWater, interval.noiseEE, interval.noiseEW, interval.noiseWW);
  if (Number.isFinite(live.leakStop[h]!) && live.mean[h * N + LEAK] !== 0) {
    live.leakRate[h] = live.mean[h * N + LEAK]!;
    setLeak(live, h, 0, 0);
  }
}
