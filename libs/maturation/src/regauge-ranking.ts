import type { FillingPosterior, FillingWithPosterior, RegaugeAdvice } from './answers.ts';
import { dayNumber } from './calendar.ts';
import { componentOutlook, yearsToCome } from './component-outlook.ts';
import type { ForecastOptions } from './forecast.ts';
import { layOutOutlook, leaksAt, LPA, QUANTITIES } from './outlook.ts';
import { BIAS, N } from './gaussian-pool.ts';
import { emptyGauged, gaugeContent } from './linearise.ts';
import { unpackSymmetric } from './matrix.ts';
import { bilinear, momentsAt } from './moments.ts';
import { estateOf } from './population.ts';
import type { ClimateByZone } from './types.ts';

export interface RankingRequest {
  /** day the round is walked */
  on: string;
  /** day for which the stock is to be known: the same day, or that of a planned blend */
  at: string;
  /** how many casks can be opened */
  count: number;
  /** uncertainties of the gauging to come, standard */
  uLitres: number;
  uStrength: number;
  dip: boolean;
}

/** Share of the doubt between explanations (leak or not, blunder or not) that one reading settles. */
const SETTLED_BY_A_READING = 0.8;

/**
 * The casks whose opening takes most doubt from the set's litres of pure alcohol, best first. The
 * gain counted is the cask's own; what its reading also teaches about its fellows comes on top.
 *
 * @throws RangeError when `at` lies before `on`
 */
export function regaugeRanking(
  members: readonly FillingWithPosterior[],
  climate: ClimateByZone,
  request: RankingRequest,
  options: ForecastOptions,
): RegaugeAdvice[] {
  if (dayNumber(request.at) < dayNumber(request.on)) {
    throw new RangeError(`the stock's day ${request.at} lies before the round on ${request.on}`);
  }
  const scored = members.map(({ posterior, filling }) => ({
    fillingId: filling.id,
    ...gainOf(posterior, climate, request, options),
    reason: reasonOf(posterior, request.on),
  }));
  scored.sort((a, b) => b.gain - a.gain);
  let variance = scored.reduce((sum, s) => sum + s.variance, 0);
  return scored.slice(0, Math.max(0, request.count)).map((s): RegaugeAdvice => {
    const sdBefore = Math.sqrt(variance);
    variance = Math.max(0, variance - s.gain);
    const sdAfter = Math.sqrt(variance);
    return {
      fillingId: s.fillingId,
      sdBefore,
      sdAfter,
      gain: sdBefore - sdAfter,
      reason: s.reason,
    };
  });
}

const gauged = emptyGauged();

/** Variance of the cask's LPA at the stock's day, and how much of it a reading would take. */
function gainOf(
  posterior: FillingPosterior,
  climate: ClimateByZone,
  request: RankingRequest,
  options: ForecastOptions,
): { variance: number; gain: number } {
  const estate = estateOf(options.population);
  const outlook = layOutOutlook(posterior, climate, [
    Math.max(dayNumber(request.on), dayNumber(posterior.asOf)),
    Math.max(dayNumber(request.at), dayNumber(posterior.asOf)),
  ]);
  const last = outlook.days.length - 1;
  const components = posterior.components.map((c) => componentOutlook(outlook, c, estate));
  const years = yearsToCome(estate, outlook.drives, outlook.years[last]!, 0);
  const atoms = leaksAt(outlook, estate, last);
  const all = momentsAt(components, atoms, last, years.own);
  const calm = momentsAt(components, [{ chance: 1, lost: 0, spread: 0 }], last, 0);
  let within = 0;
  let taken = 0;
  components.forEach((c, i) => {
    const P = unpackSymmetric(posterior.components[i]!.covariance, N);
    const lpa = last * QUANTITIES + LPA;
    const before = c.variance[lpa]!;
    within += c.weight * before;
    taken += c.weight * (before - afterReading(P, c, request, lpa * N));
  });
  const between = Math.max(0, calm.varLpa - within);
  const soFar = leaksAt(outlook, estate, 0);
  const leakedUnseen = soFar.reduce((s, a) => s + a.chance * (a.lost * a.lost + a.spread ** 2), 0);
  const perLitre = all.bulk > 0 ? all.lpa / all.bulk : 0;
  const gain = taken + SETTLED_BY_A_READING * (between + leakedUnseen * perLitre * perLitre);
  return { variance: all.varLpa, gain: Math.min(gain, all.varLpa) };
}

/** Variance left after litres and strength have been read on the first of the outlook's days; overwrites P. */
function afterReading(
  left: Float64Array,
  c: ReturnType<typeof componentOutlook>,
  request: RankingRequest,
  g: number,
): number {
  gaugeContent(c.content[0]!, c.content[1]!, gauged);
  const read = (row: number, bias: number, u: number): void => {
    const h = new Float64Array(N);
    for (let k = 0; k < N; k++) h[k] = c.gradient[row * N + k]!;
    h[BIAS] = bias;
    const Ph = new Float64Array(N);
    for (let i = 0; i < N; i++) {
      for (let j = 0; j < N; j++) Ph[i]! += left[i * N + j]! * h[j]!;
    }
    let s = u * u;
    for (let i = 0; i < N; i++) s += h[i]! * Ph[i]!;
    for (let i = 0; i < N; i++) {
      for (let j = 0; j < N; j++) left[i * N + j]! -= (Ph[i]! * Ph[j]!) / s;
    }
  };
  read(0, request.dip ? 1 : 0, request.uLitres);
  read(1, 0, request.uStrength);
  return bilinear(left, c.gradient, g, g);
}

function reasonOf(posterior: FillingPosterior, on: string): RegaugeAdvice['reason'] {
  if (posterior.leak.runningProbability > 0.2) return 'suspected-leak';
  const last = posterior.regauges.at(-1);
  if (!last) return 'never-regauged';
  if (last.blunderProbability > 0.2) return 'doubtful-reading';
  return dayNumber(on) - dayNumber(last.on) > 3 * 365 ? 'long-ago' : 'large-loss';
}
