import { leakScale } from './candidates.ts';
import type { FilterModel } from './filter-model.ts';
import type { FilterWorkspace } from './filter-workspace.ts';
import { addLeakShare, copyHypothesis, setLeak } from './gaussian-pool.ts';
import type { Segment } from './segments.ts';

/** How seldom a keeper who looks is wrong about a leak (common practice, no published source). */
const KEEPER_WRONG = 0.005;
/** Spread of the rate of a leak that was seen but not gauged since, relative to the median. */
const SEEN_RATE_SPREAD = 0.7;

/**
 * Weighs the explanations by what the keeper saw when looking for a leak. A leak that was seen and that
 * no reading tells of is taken to run at the usual rate. Returns the log of what the word was worth.
 */
export function hearKeeper(ws: FilterWorkspace, segment: Segment, model: FilterModel): number {
  const { live } = ws;
  let said = 0;
  for (const { day, leaking, sinceDay } of segment.inspections) {
    let agreeing = 0;
    for (let h = 0; h < ws.liveCount; h++) {
      if (leaksOn(ws, h, day) === leaking) agreeing += Math.exp(live.logWeight[h]!);
    }
    if (leaking && agreeing < 1e-6) {
      for (let h = 0; h < ws.liveCount; h++) beginLeak(ws, h, sinceDay ?? day, segment, model);
      said += Math.log(KEEPER_WRONG);
      continue;
    }
    const total = agreeing * (1 - KEEPER_WRONG) + Math.max(0, 1 - agreeing) * KEEPER_WRONG;
    for (let h = 0; h < ws.liveCount; h++) {
      const p = leaksOn(ws, h, day) === leaking ? 1 - KEEPER_WRONG : KEEPER_WRONG;
      live.logWeight[h]! += Math.log(p / total);
    }
    said += Math.log(total);
  }
  likeliestFirst(ws);
  return said;
}

function likeliestFirst(ws: FilterWorkspace): void {
  const { live, spare, liveCount } = ws;
  Array.from({ length: liveCount }, (_, h) => h)
    .sort((a, b) => live.logWeight[b]! - live.logWeight[a]! || a - b)
    .forEach((h, i) => copyHypothesis(live, h, spare, i));
  ws.live = spare;
  ws.spare = live;
}

function leaksOn({ live }: FilterWorkspace, h: number, day: number): boolean {
  const stop = live.leakStop[h]!;
  return live.leakStart[h]! <= day && !(stop < day);
}

function beginLeak(
  ws: FilterWorkspace,
  h: number,
  day: number,
  segment: Segment,
  model: FilterModel,
): void {
  const { live, interval } = ws;
  const rate = model.leakLitresPerYear * leakScale(segment.vessel.capacityLitres);
  const repaired = segment.repairDays.find((repair) => repair >= day);
  const until = Math.min(repaired ?? Infinity, interval.toDay);
  const running = Math.max(0, until - day) / 365.25;
  setLeak(live, h, rate, (SEEN_RATE_SPREAD * rate) ** 2);
  addLeakShare(live, h, -running * interval.ethanolPerLitre, -running * interval.waterPerLitre);
  live.leakStart[h] = day;
  if (repaired !== undefined) {
    live.leakStop[h] = repaired;
    live.leakRate[h] = rate;
    setLeak(live, h, 0, 0);
  }
}
