/** A request with one wish that conflicts changed by the least that opens a plan. */
import type { Relaxation } from '@rundlet/blending';
import { BlendRequest } from '@rundlet/contracts';
import { given } from './blend-wishes.ts';

type Change = Extract<Relaxation, { kind: 'change' }>;

/** Null where nothing was found that is enough alone, or where the form has no such wish. */
export function relaxedRequest(
  request: BlendRequest,
  wishId: string,
  relaxation: Relaxation,
): BlendRequest | null {
  const changed =
    relaxation.kind === 'change'
      ? withLimit(request, wishId, relaxation)
      : relaxation.kind === 'drop'
        ? without(request, wishId)
        : null;
  // What goes beyond the limits of a request, as a tolerance of 60 %, is left to the blender.
  return changed && (BlendRequest.safeParse(changed).data ?? null);
}

function withLimit(request: BlendRequest, wishId: string, change: Change): BlendRequest | null {
  const { to } = change;
  const { target } = request;
  const down = to < change.from;
  const limit = <L extends string, M extends string>(least: L, most: M) =>
    given(down ? least : most, to);
  const percent = Number((100 * to).toPrecision(12));
  const [kind, place] = wishId.split(':');
  const at = <T>(list: readonly T[] | undefined, more: (of: T) => Partial<T>): T[] =>
    (list ?? []).map((one, i) => (i === Number(place) ? { ...one, ...more(one) } : one));
  switch (kind) {
    case 'volume': {
      const off = Math.abs(to / target.bulkLitresAt20C - 1) * 100;
      return {
        ...request,
        target: { ...target, volumeTolerancePercent: Math.ceil(off * 1e3) / 1e3 },
      };
    }
    case 'strength': {
      const off = Math.abs(to - target.strengthPercentVol);
      return {
        ...request,
        target: { ...target, strengthTolerancePercentVol: Math.ceil(off * 1e3 - 1e-6) / 1e3 },
      };
    }
    case 'water':
      return { ...request, water: 'allowed', ...limit('leastWaterLitres', 'mostWaterLitres') };
    case 'age':
      return { ...request, ...limit('youngestYears', 'oldestYears') };
    case 'mean-age':
      return { ...request, leastMeanYears: to };
    case 'cask-strength':
      return { ...request, ...limit('leastStrengthPercentVol', 'mostStrengthPercentVol') };
    case 'cask-count':
      return { ...request, ...limit('leastCasks', 'mostCasks') };
    case 'row-count':
      return { ...request, mostRows: to };
    case 'budget':
      return { ...request, mostCost: to };
    case 'share':
      return {
        ...request,
        shares: at(request.shares, () => given(down ? 'atLeastPercent' : 'atMostPercent', percent)),
      };
    case 'each':
      return { ...request, eachShare: at(request.eachShare, () => ({ atMostPercent: percent })) };
    case 'distinct':
      return { ...request, distinct: at(request.distinct, () => limit('atLeast', 'atMost')) };
    case 'score':
      return { ...request, scores: at(request.scores, () => limit('low', 'high')) };
    default:
      return null;
  }
}

function without(request: BlendRequest, wishId: string): BlendRequest | null {
  const [kind, place] = wishId.split(':');
  const less = <T>(list: readonly T[] | undefined): T[] =>
    (list ?? []).filter((_, i) => i !== Number(place));
  switch (kind) {
    case 'take':
      return {
        ...left(request, 'leastPartLitres', 'leastHeelLitres', 'mostPartCasks'),
        parts: 'both',
      };
    case 'water':
      return { ...left(request, 'leastWaterLitres', 'mostWaterLitres'), water: 'allowed' };
    case 'duty':
      return { ...request, dutyStatus: 'either' };
    case 'rule':
      return { ...request, rules: less(request.rules) };
    case 'share':
      return { ...request, shares: less(request.shares) };
    case 'each':
      return { ...request, eachShare: less(request.eachShare) };
    case 'distinct':
      return { ...request, distinct: less(request.distinct) };
    case 'score':
      return { ...request, scores: less(request.scores) };
    case 'include':
    case 'exclude':
      return { ...request, [kind]: [] };
    default:
      return null;
  }
}

/** The request without some of its wishes. */
function left(request: BlendRequest, ...gone: readonly (keyof BlendRequest)[]): BlendRequest {
  const kept = Object.entries(request).filter(([key]) => !gone.some((one) => one === key));
  return Object.fromEntries(kept) as BlendRequest;
}
