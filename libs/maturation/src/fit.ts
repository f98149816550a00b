import { liquidFromVolume } from '@rundlet/alcoholometry';
import { filterSegment, type SegmentPrior } from './filter.ts';
import {
  createFilterWorkspace,
  type FilterEffort,
  type FilterWorkspace,
} from './filter-workspace.ts';
import { N, NN, THETA_AT } from './gaussian-pool.ts';
import { P_LEAK, P_LEAK_FROM, P_LEAK_TO } from './integrate.ts';
import { createLinearisation, layOut, linearise, type Linearisation } from './linearise.ts';
import { inverseOfSymmetric } from './matrix.ts';
import type { Evidence, Member } from './mixed-model.ts';
import { caskPrior, type Estate } from './population.ts';
import { THETA_COUNT as T } from './priors.ts';
import { groupsOf, isPlace, zoneGroup, type Segment } from './segments.ts';
import type { CaskKind, ClimateByZone, FillRecord } from './types.ts';

/** Scratch for fitting one filling after another. */
export interface FitWorkspace {
  filter: FilterWorkspace;
  lin: Linearisation;
}

export const createFitWorkspace = (): FitWorkspace => ({
  filter: createFilterWorkspace(),
  lin: createLinearisation(),
});

/** Content at the start of a segment: mean and covariance, kg. */
export interface StartContent {
  ethanolKg: number;
  waterKg: number;
  ee: number;
  ew: number;
  ww: number;
}

export function startFromFill(fill: FillRecord): StartContent {
  const { bulkLitresAt20C: litres, strengthPercentVol: strength } = fill;
  const at = liquidFromVolume(litres, strength);
  const more = liquidFromVolume(litres * 1.001, strength);
  const h = strength > 50 ? -0.01 : 0.01;
  const stronger = liquidFromVolume(litres, strength + h);
  const ev = (more.ethanolKg - at.ethanolKg) / (0.001 * litres);
  const wv = (more.waterKg - at.waterKg) / (0.001 * litres);
  const es = (stronger.ethanolKg - at.ethanolKg) / h;
  const ws = (stronger.waterKg - at.waterKg) / h;
  const vv = fill.uLitres ** 2;
  const ss = fill.uStrength ** 2;
  return {
    ethanolKg: at.ethanolKg,
    waterKg: at.waterKg,
    ee: ev * ev * vv + es * es * ss,
    ew: ev * wv * vv + es * ws * ss,
    ww: wv * wv * vv + ws * ws * ss,
  };
}

/** A segment with what fitting carries from pass to pass. */
export interface SegmentFit {
  segment: Segment;
  member: Member;
  /** where the nominal course stands */
  star: Float64Array;
  evidence: Evidence | null;
}

export const memberOf = (segment: Segment): Member => memberOfGroups(segment.groups);

/** Where a cask of a kind, lying somewhere, belongs. */
export function memberOfKind(
  kind: CaskKind,
  climate: ClimateByZone,
  zoneId: string,
  floor: number | null,
): Member {
  return memberOfGroups(groupsOf(kind, zoneGroup(climate, zoneId, floor ?? undefined)));
}

function memberOfGroups(groups: readonly string[]): Member {
  return {
    groups: groups.filter((g) => !g.startsWith('lot:')),
    lot: groups.find((g) => g.startsWith('lot:')) ?? null,
    key: groups.join('\n'),
  };
}

/** Distinct ascending days of a segment's readings, and its last day. */
export function marksOf(segment: Segment, lastDay: number): number[] {
  const days = new Set<number>();
  for (const r of segment.readings) days.add(r.day);
  days.add(Math.max(lastDay, segment.fromDay));
  return [...days].sort((a, b) => a - b);
}

/** Zone effects may have changed since the last pass: refresh the shifts of later stays. */
export function refreshShifts(segment: Segment, estate: Estate): void {
  if (segment.stays.length < 2) return;
  const offset = (groups: readonly string[], k: number): number =>
    groups.reduce((sum, group) => {
      const column = estate.mixed.levels.get(group)?.columns[k] ?? -1;
      return sum + (column >= 0 ? estate.mixed.beta[column]! : 0);
    }, 0);
  const home = segment.groups.filter(isPlace);
  segment.stays.forEach((stay, i) => {
    const here = i === 0 ? home : segment.placeGroups[i]!;
    stay.shift = [0, 1, 2].map((k) => offset(here, k) - offset(home, k)) as [
      number,
      number,
      number,
    ];
  });
}

/** Prior of a segment as the filter wants it. */
export function segmentPrior(
  estate: Estate,
  fit: SegmentFit,
  start: StartContent,
  cavity: boolean,
): SegmentPrior & { groupCovariance: Float64Array } {
  const prior = caskPrior(estate, fit.member);
  let { mean, covariance } = prior;
  let group = prior.groupCovariance;
  if (cavity && fit.evidence) {
    const own = withoutEvidence(mean, group, fit.evidence);
    if (own) {
      mean = own.mean;
      const less = own.covariance;
      covariance = covariance.map((v, i) => v - group[i]! + less[i]!);
      group = less;
    }
  }
  return {
    thetaMean: mean,
    thetaCovariance: covariance,
    groupCovariance: group,
    startEE: start.ee,
    startEW: start.ew,
    startWW: start.ww,
  };
}

/** Takes a cask's own contribution out of its groups' estimate; null when nothing would be left. */
function withoutEvidence(
  mean: Float64Array,
  covariance: Float64Array,
  evidence: Evidence,
): { mean: Float64Array; covariance: Float64Array } | null {
  const ridge = covariance.slice();
  for (let k = 0; k < T; k++) ridge[k * T + k]! += 1e-12;
  const precision = inverseOfSymmetric(ridge, T, 1e-18);
  const vector = new Float64Array(T);
  for (let a = 0; a < T; a++) {
    for (let b = 0; b < T; b++) vector[a]! += precision[a * T + b]! * mean[b]!;
    vector[a]! -= evidence.vector[a]!;
  }
  for (let i = 0; i < T * T; i++) precision[i]! -= evidence.information[i]!;
  for (let k = 0; k < T; k++) {
    if (!(precision[k * T + k]! > 0)) return null;
  }
  const out = inverseOfSymmetric(precision, T, 1e-18);
  for (let k = 0; k < T; k++) {
    // far looser than before: rounding, not knowledge
    if (!(out[k * T + k]! < 20 * covariance[k * T + k]! + 1e-9)) return null;
  }
  const m = new Float64Array(T);
  for (let a = 0; a < T; a++) {
    for (let b = 0; b < T; b++) m[a]! += out[a * T + b]! * vector[b]!;
  }
  return { mean: m, covariance: out };
}

/** Lays out, linearises at the fit's star and filters. Results stay in the workspace. */
export function runFilter(
  ws: FitWorkspace,
  fit: SegmentFit,
  start: StartContent,
  prior: SegmentPrior,
  estate: Estate,
  lastDay: number,
  effort: FilterEffort,
  forced: Int32Array | null = null,
): number {
  const { lin } = ws;
  lin.parameters.fill(0);
  lin.parameters[0] = start.ethanolKg;
  lin.parameters[1] = start.waterKg;
  lin.parameters.set(fit.star, 2);
  // samples nobody wrote down, on the average, as a trickle
  lin.parameters[P_LEAK] = estate.filter.unloggedLitresPerYear;
  lin.parameters[P_LEAK_FROM] = -Infinity;
  lin.parameters[P_LEAK_TO] = Infinity;
  layOut(lin, fit.segment, marksOf(fit.segment, lastDay), lastDay);
  linearise(lin, fit.segment);
  return filterSegment(ws.filter, lin, fit.segment, prior, estate.filter, effort, forced);
}

/** Moves the star to the likeliest explanation's mean, no further than the linear picture holds. */
export function moveStar(ws: FitWorkspace, fit: SegmentFit): number {
  const { live } = ws.filter;
  let moved = 0;
  for (let k = 0; k < T; k++) {
    const step = Math.max(-0.7, Math.min(0.7, live.mean[THETA_AT + k]!));
    fit.star[k]! += step;
    moved = Math.max(moved, Math.abs(step));
  }
  return moved;
}

/** Content at the last mark over all explanations: mean and covariance. */
export function endContent(ws: FitWorkspace): StartContent {
  const { live, liveCount } = ws.filter;
  const at = (ws.lin.marks.length - 1) * 2;
  let e = 0;
  let w = 0;
  for (let h = 0; h < liveCount; h++) {
    const p = Math.exp(live.logWeight[h]!);
    e += p * live.mean[h * N]!;
    w += p * live.mean[h * N + 1]!;
  }
  let ee = 0;
  let ew = 0;
  let ww = 0;
  for (let h = 0; h < liveCount; h++) {
    const p = Math.exp(live.logWeight[h]!);
    const de = live.mean[h * N]! - e;
    const dw = live.mean[h * N + 1]! - w;
    ee += p * (live.covariance[h * NN]! + de * de);
    ew += p * (live.covariance[h * NN + 1]! + de * dw);
    ww += p * (live.covariance[h * NN + N + 1]! + dw * dw);
  }
  return {
    ethanolKg: Math.max(0, ws.lin.nominal[at]! + e),
    waterKg: Math.max(0, ws.lin.nominal[at + 1]! + w),
    ee,
    ew,
    ww,
  };
}
