import { DEFAULT_FILTER_MODEL } from './filter-model.ts';
import { QUICK } from './filter-workspace.ts';
import {
  runFilter,
  segmentPrior,
  type FitWorkspace,
  type SegmentFit,
  type StartContent,
} from './fit.ts';
import type { Estate } from './population.ts';

/** Fittings with what their start was, for trying other noise on. */
export interface TuningCase {
  fit: SegmentFit;
  start: StartContent;
}

/** most cases that are tried: the answer settles long before */
const MOST_CASES = 160;

interface Knob {
  name: 'yearSd' | 'dipScale' | 'strengthScale' | 'dipBiasShare';
  /** how far the logarithm may stray from its default, 1 σ */
  prior: number;
  least: number;
  most: number;
}

const KNOBS: readonly Knob[] = [
  { name: 'yearSd', prior: 0.6, least: 0.01, most: 0.3 },
  { name: 'dipScale', prior: 0.12, least: 0.5, most: 2 },
  { name: 'strengthScale', prior: 0.12, least: 0.5, most: 2 },
  { name: 'dipBiasShare', prior: 0.4, least: 0.05, most: 0.8 },
];

const H = Math.log(1.25);

/**
 * Moves the spreads of readings and of single years uphill in evidence, one parabola each. Priors
 * hold them near what was stated until many readings disagree.
 */
export function tuneNoise(ws: FitWorkspace, estate: Estate, cases: readonly TuningCase[]): void {
  const chosen = evenly(cases, MOST_CASES);
  if (chosen.length === 0) return;
  const { filter } = estate;
  for (const knob of KNOBS) {
    const now = Math.log(filter[knob.name]);
    const centre = Math.log(DEFAULT_FILTER_MODEL[knob.name]);
    const evidence = (ln: number): number => {
      filter[knob.name] = Math.exp(ln);
      let sum = 0;
      for (const { fit, start } of chosen) {
        const prior = segmentPrior(estate, fit, start, false);
        sum += runFilter(ws, fit, start, prior, estate, fit.segment.toDay, QUICK);
      }
      sum *= cases.length / chosen.length;
      return sum - 0.5 * ((ln - centre) / knob.prior) ** 2;
    };
    const below = evidence(now - H);
    const here = evidence(now);
    const above = evidence(now + H);
    const curvature = 2 * here - above - below;
    const step =
      curvature > 0 ? (H * (above - below)) / (2 * curvature) : above > below ? 2 * H : -2 * H;
    const next = now + Math.max(-2 * H, Math.min(2 * H, step));
    filter[knob.name] = Math.min(knob.most, Math.max(knob.least, Math.exp(next)));
  }
}

/** At most `most` of the items, evenly spaced. */
export function evenly<T>(items: readonly T[], most: number): T[] {
  const stride = Math.max(1, items.length / most);
  const out: T[] = [];
  for (let i = 0; i < items.length; i += stride) out.push(items[Math.floor(i)]!);
  return out;
}
