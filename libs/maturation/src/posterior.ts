import type { FillingPosterior, PosteriorComponent, RegaugeBelief } from './answers.ts';
import { isoDate } from './calendar.ts';
import { kindOf } from './choice.ts';
import { THOROUGH } from './filter-workspace.ts';
import { isBlunder } from './filter-model.ts';
import {
  endContent,
  moveStar,
  refreshShifts,
  runFilter,
  segmentPrior,
  startFromFill,
  type FitWorkspace,
  type SegmentFit,
  type StartContent,
} from './fit.ts';
import { LEAK, N, NN, THETA_AT } from './gaussian-pool.ts';
import { leakBelief } from './leak-belief.ts';
import { packSymmetric } from './matrix.ts';
import type { Estate } from './population.ts';
import { LN_SOAK, THETA_COUNT as T } from './priors.ts';
import type { PreparedFilling } from './segments.ts';

/** explanations kept, and the weight below which one is let go */
const MOST_COMPONENTS = 8;
const LEAST_WEIGHT = 0.008;
/** from this weight on, one explanation is taken for all */
const SETTLED = 0.985;

/** Fits one filling against a settled estate. */
export function posteriorOf(
  ws: FitWorkspace,
  estate: Estate,
  prepared: PreparedFilling,
  fits: readonly SegmentFit[],
): FillingPosterior {
  let start = startFromFill(prepared.fill);
  const beliefs: RegaugeBelief[] = [];
  let components: PosteriorComponent[] = [];
  let evidence: FillingPosterior['evidence'] = null;
  fits.forEach((fit, i) => {
    const last = i === fits.length - 1;
    // a day past the latest evidence, so that what was drawn that day is out
    const endDay = last ? prepared.asOfDay + 1 : fit.segment.toDay;
    refreshShifts(fit.segment, estate);
    const prior = segmentPrior(estate, fit, start, true);
    if (fit.segment.readings.length === 0) fit.star.set(prior.thetaMean);
    for (let round = 0; round < 4; round++) {
      runFilter(ws, fit, start, prior, estate, endDay, THOROUGH);
      if (fit.segment.readings.length === 0 || moveStar(ws, fit) < 0.02) break;
    }
    components = refine(ws, estate, fit, start, prior, endDay);
    beliefs.push(...blunderBeliefs(fit, components));
    if (last && fit.evidence) {
      evidence = {
        information: packSymmetric(fit.evidence.information, T),
        vector: [...fit.evidence.vector],
      };
    }
    if (!last) start = mixtureContent(components, endContent(ws));
  });
  const segment = fits.at(-1)!.segment;
  return {
    fillingId: prepared.id,
    asOf: isoDate(prepared.asOfDay + 1),
    filledOn: isoDate(segment.fromDay),
    zoneId: prepared.zoneId,
    floor: prepared.floor,
    caskKind: segment.caskKind,
    components,
    regauges: beliefs,
    leak: leakBelief(components, prepared.asOfDay),
    evidence,
  };
}

/** Follows each likely explanation by itself, linearised at its own mean, and weighs them again. */
function refine(
  ws: FitWorkspace,
  estate: Estate,
  fit: SegmentFit,
  start: StartContent,
  prior: ReturnType<typeof segmentPrior>,
  endDay: number,
): PosteriorComponent[] {
  const { live, liveCount } = ws.filter;
  const readings = fit.segment.readings;
  const kept: { star: Float64Array; choice: Int32Array }[] = [];
  let best = -1;
  for (let h = 0; h < liveCount && kept.length < MOST_COMPONENTS; h++) {
    if (Math.exp(live.logWeight[h]!) < LEAST_WEIGHT) continue;
    if (best < 0 || live.logWeight[h]! > live.logWeight[best]!) best = h;
    const star = fit.star.slice();
    for (let k = 0; k < T; k++) {
      star[k]! += Math.max(-1, Math.min(1, live.mean[h * N + THETA_AT + k]!));
    }
    kept.push({
      star,
      choice: live.choice.slice(h * live.readings, h * live.readings + readings.length),
    });
  }
  if (kept.length <= 1 || Math.exp(live.logWeight[0]!) > SETTLED)
    return [componentOf(ws, fit, 0, 1)];
  const evidences: number[] = [];
  const components = kept.map(({ star, choice }) => {
    const own: SegmentFit = { ...fit, star };
    let evidence = 0;
    for (let round = 0; round < 2; round++) {
      evidence = runFilter(ws, own, start, prior, estate, endDay, THOROUGH, choice);
      if (moveStar(ws, own) < 0.03) break;
    }
    evidences.push(evidence);
    return componentOf(ws, own, 0, 1);
  });
  const top = Math.max(...evidences);
  const total = evidences.reduce((sum, e) => sum + Math.exp(e - top), 0);
  components.forEach((c, i) => (c.weight = Math.exp(evidences[i]! - top) / total));
  return components.filter((c) => c.weight >= LEAST_WEIGHT).sort((a, b) => b.weight - a.weight);
}

/** six significant figures are more than the readings have */
const short = (x: number): number => (x === 0 ? 0 : Number(x.toPrecision(6)));

/** Turns a live hypothesis into plain numbers; θ is of the zone where the cask lies now. */
function componentOf(
  ws: FitWorkspace,
  fit: SegmentFit,
  h: number,
  weight: number,
): PosteriorComponent {
  const { live } = ws.filter;
  const { lin } = ws;
  const at = (lin.marks.length - 1) * 2;
  const mean = Array.from(live.mean.subarray(h * N, h * N + N));
  mean[0] = Math.max(1e-6, mean[0]! + lin.nominal[at]!);
  mean[1] = Math.max(1e-6, mean[1]! + lin.nominal[at + 1]!);
  const shift = fit.segment.stays.at(-1)!.shift;
  // the nominal was laid out at lin.parameters; moveStar has not touched those
  for (let k = 0; k < T; k++) {
    mean[THETA_AT + k]! += lin.parameters[2 + k]! + (k < 3 ? shift[k]! : 0);
  }
  const readings = fit.segment.readings;
  const leaked = Number.isFinite(live.leakStart[h]!);
  return {
    weight,
    mean: mean.map(short),
    covariance: packSymmetric(live.covariance.subarray(h * NN, h * NN + NN), N).map(short),
    history: {
      fillEthanolKg: short(lin.parameters[0]!),
      fillWaterKg: short(lin.parameters[1]!),
      indrinkLitres: short(fit.segment.soakLitres * Math.exp(mean[THETA_AT + LN_SOAK]!)),
    },
    leak: leaked
      ? {
          startedOn: isoDate(Math.round(live.leakStart[h]!)),
          ...(Number.isFinite(live.leakStop[h]!)
            ? { stoppedOn: isoDate(Math.round(live.leakStop[h]!)) }
            : {}),
          litresPerYear: short(live.leakRate[h]! || live.mean[h * N + LEAK]!),
        }
      : null,
    step: Number.isFinite(live.stepDay[h]!)
      ? {
          on: isoDate(Math.round(live.stepDay[h]!)),
          litres: short(live.stepLitres[h]!),
          leakShare: short(live.stepIsLeak[h]!),
        }
      : null,
    blunders: readings.flatMap((r, i) =>
      isBlunder(kindOf(live.choice[h * live.readings + i]!)) ? [r.on] : [],
    ),
  };
}

function blunderBeliefs(
  fit: SegmentFit,
  components: readonly PosteriorComponent[],
): RegaugeBelief[] {
  return fit.segment.readings
    .filter((r) => r.index >= 0)
    .map((r) => ({
      on: r.on,
      index: r.index,
      blunderProbability: components.reduce(
        (sum, c) => sum + (c.blunders.includes(r.on) ? c.weight : 0),
        0,
      ),
    }));
}

function mixtureContent(
  components: readonly PosteriorComponent[],
  fallback: StartContent,
): StartContent {
  let e = 0;
  let w = 0;
  let total = 0;
  for (const c of components) {
    total += c.weight;
    e += c.weight * c.mean[0]!;
    w += c.weight * c.mean[1]!;
  }
  if (!(total > 0)) return fallback;
  e /= total;
  w /= total;
  let ee = 0;
  let ew = 0;
  let ww = 0;
  for (const c of components) {
    const p = c.weight / total;
    const de = c.mean[0]! - e;
    const dw = c.mean[1]! - w;
    ee += p * (c.covariance[0]! + de * de);
    ew += p * (c.covariance[1]! + de * dw);
    ww += p * (c.covariance[2]! + dw * dw);
  }
  return { ethanolKg: e, waterKg: w, ee, ew, ww };
}
