import type { LeakBelief, PosteriorComponent } from './answers.ts';
import { dayNumber, isoDate } from './calendar.ts';
import { diagonal, LEAK } from './gaussian-pool.ts';
import { quantilesOf, type Piece } from './spread.ts';

const NONE = [{ chance: 1, lost: 0, spread: 0 }];

/** Litres an explanation's leak has cost by a day; 0 without one. */
export function leakedBy(component: PosteriorComponent, day: number): number {
  const { leak } = component;
  if (!leak) return 0;
  const until = leak.stoppedOn === undefined ? day : Math.min(day, dayNumber(leak.stoppedOn));
  return (leak.litresPerYear * Math.max(0, until - dayNumber(leak.startedOn))) / 365.25;
}

/**
 * What the explanations together say of a leak: how likely, since when, how much. A loss at one go
 * counts by the chance that it was a leak that stopped.
 */
export function leakBelief(components: readonly PosteriorComponent[], asOfDay: number): LeakBelief {
  let probability = 0;
  let running = 0;
  const since: { day: number; weight: number }[] = [];
  const lost: Piece[] = [];
  const rates: Piece[] = [];
  for (const c of components) {
    if (c.leak) {
      probability += c.weight;
      since.push({ day: dayNumber(c.leak.startedOn), weight: c.weight });
      const litres = leakedBy(c, asOfDay);
      lost.push({ weight: c.weight, median: litres, low: 0.15 * litres, high: 0.15 * litres });
      if (c.leak.stoppedOn === undefined) {
        running += c.weight;
        const sd = Math.sqrt(Math.max(0, c.covariance[diagonal(LEAK)]!));
        rates.push({ weight: c.weight, median: c.leak.litresPerYear, low: sd, high: sd });
      }
    } else if (c.step) {
      const weight = c.weight * c.step.leakShare;
      probability += weight;
      since.push({ day: dayNumber(c.step.on), weight });
      lost.push({
        weight,
        median: c.step.litres,
        low: 0.3 * c.step.litres,
        high: 0.3 * c.step.litres,
      });
    }
  }
  const share = (pieces: Piece[]): Piece[] => {
    const total = pieces.reduce((sum, p) => sum + p.weight, 0);
    return pieces.map((p) => ({
      weight: p.weight / total,
      median: p.median,
      low: Math.max(p.low, 1e-3),
      high: Math.max(p.high, 1e-3),
    }));
  };
  const known = probability > 1e-3;
  return {
    probability: Math.min(1, probability),
    runningProbability: Math.min(1, running),
    litresLost: known ? quantilesOf(share(lost), NONE, 0, 0, Infinity) : null,
    litresPerYear: running > 1e-3 ? quantilesOf(share(rates), NONE, 0, 0, Infinity) : null,
    since: known ? sinceOf(since) : null,
  };
}

function sinceOf(days: { day: number; weight: number }[]): LeakBelief['since'] {
  days.sort((a, b) => a.day - b.day);
  const total = days.reduce((sum, d) => sum + d.weight, 0);
  const at = (share: number): number => {
    let sum = 0;
    for (const d of days) if ((sum += d.weight) >= share * total) return d.day;
    return days.at(-1)!.day;
  };
  const likeliest = days.reduce((a, b) => (b.weight > a.weight ? b : a)).day;
  return { from: isoDate(at(0.05)), to: isoDate(at(0.95)), likeliest: isoDate(likeliest) };
}
