import type { ClimateFinding, LoggerRow } from '../types.ts';
import { labelOfMinutes, wallMinutes } from './stamp.ts';

/** A row that could be read: minutes on the wall clock, °C or °F as yet, % or a fraction as yet. */
export interface Sample {
  minutes: number;
  temperature: number;
  humidity: number | null;
}

/** a clock put back or forward jumps by an hour, give or take a reading */
const CLOCK_CHANGE_MINUTES = 60;
/** clocks are changed before five in the morning */
const NIGHT_MINUTES = 300;
/** stamps this far from the middle of the series come from a clock that was reset */
const STRAY_MINUTES = 40 * 365.25 * 1440;

const usable = (x: number | null): x is number => x !== null && Number.isFinite(x);

/** Reads stamps and figures; says what could not be read. */
export function readSamples(rows: readonly LoggerRow[], findings: ClimateFinding[]): Sample[] {
  const samples: Sample[] = [];
  const unreadable: string[] = [];
  for (const row of rows) {
    const minutes = wallMinutes(row.at);
    if (minutes === null || !usable(row.temperatureC)) {
      unreadable.push(row.at);
      continue;
    }
    samples.push({
      minutes,
      temperature: row.temperatureC,
      humidity: usable(row.relativeHumidityPercent) ? row.relativeHumidityPercent : null,
    });
  }
  if (unreadable.length > 0) {
    findings.push({
      kind: 'unreadable',
      from: unreadable[0]!,
      to: unreadable.at(-1)!,
      rows: unreadable.length,
      detail: 'no ISO date or date-time, or no temperature',
      action: 'dropped',
    });
  }
  return samples;
}

/** Commonest step between successive rows, minutes; null below two rows. */
export function usualStep(samples: readonly Sample[]): number | null {
  const counts = new Map<number, number>();
  for (let i = 1; i < samples.length; i++) {
    const step = samples[i]!.minutes - samples[i - 1]!.minutes;
    if (step > 0) counts.set(step, (counts.get(step) ?? 0) + 1);
  }
  let best: number | null = null;
  for (const [step, n] of counts) if (best === null || n > counts.get(best)!) best = step;
  return best;
}

/**
 * Puts rows in order: drops those of a reset clock, tells an hour put back from a disorder, drops
 * exact repeats and averages what two loggers (or two downloads) say of the same minute.
 */
export function inOrder(samples: readonly Sample[], findings: ClimateFinding[]): Sample[] {
  if (samples.length === 0) return [];
  const kept = dropStray(samples, findings);
  let disorder = 0;
  let disorderFrom = Infinity;
  let disorderTo = -Infinity;
  const repeatedHours = new Set<number>();
  for (let i = 1; i < kept.length; i++) {
    const back = kept[i - 1]!.minutes - kept[i]!.minutes;
    if (back < 0 || (back === 0 && !isRepeatedHour(kept, i))) continue;
    if (back <= CLOCK_CHANGE_MINUTES && kept[i]!.minutes % 1440 < NIGHT_MINUTES) {
      repeatedHours.add(kept[i]!.minutes);
      findings.push({
        kind: 'clock-change',
        from: labelOfMinutes(kept[i]!.minutes),
        to: labelOfMinutes(kept[i - 1]!.minutes),
        rows: 0,
        detail: 'the clock went back by up to an hour; the repeated hour counts once in its day',
        action: 'kept',
      });
    } else if (back > 0) {
      disorder++;
      disorderFrom = Math.min(disorderFrom, kept[i]!.minutes);
      disorderTo = Math.max(disorderTo, kept[i - 1]!.minutes);
    }
  }
  if (disorder > 0) {
    findings.push({
      kind: 'out-of-order',
      from: labelOfMinutes(disorderFrom),
      to: labelOfMinutes(disorderTo),
      rows: disorder,
      detail: 'rows run backwards; sorted by stamp',
      action: 'kept',
    });
  }
  const sorted = [...kept].sort((a, b) => a.minutes - b.minutes);
  return merge(sorted, repeatedHours, findings);
}

/**
 * By the hour, a clock put back writes one stamp twice in a row with two readings, and goes on: the
 * rows before and after are single. Two downloads that overlap repeat stamp after stamp.
 */
function isRepeatedHour(samples: readonly Sample[], i: number): boolean {
  const before = samples[i - 2];
  const first = samples[i - 1]!;
  const second = samples[i]!;
  const after = samples[i + 1];
  if (!before || !after) return false;
  return (
    (first.temperature !== second.temperature || first.humidity !== second.humidity) &&
    before.minutes < first.minutes &&
    after.minutes > second.minutes &&
    first.minutes - before.minutes >= 30 &&
    (samples[i + 2]?.minutes ?? Infinity) > after.minutes
  );
}

function dropStray(samples: readonly Sample[], findings: ClimateFinding[]): Sample[] {
  const sorted = samples.map((s) => s.minutes).sort((a, b) => a - b);
  const middle = sorted[sorted.length >> 1]!;
  const stray = samples.filter((s) => Math.abs(s.minutes - middle) > STRAY_MINUTES);
  if (stray.length === 0) return [...samples];
  findings.push({
    kind: 'clock-shift',
    from: labelOfMinutes(Math.min(...stray.map((s) => s.minutes))),
    to: labelOfMinutes(Math.max(...stray.map((s) => s.minutes))),
    rows: stray.length,
    detail: 'stamps decades away from the rest: a clock that was reset',
    action: 'dropped',
  });
  return samples.filter((s) => Math.abs(s.minutes - middle) <= STRAY_MINUTES);
}

function merge(
  sorted: readonly Sample[],
  repeatedHours: ReadonlySet<number>,
  findings: ClimateFinding[],
): Sample[] {
  const out: Sample[] = [];
  const repeats: number[] = [];
  const overlaps: number[] = [];
  for (let i = 0; i < sorted.length;) {
    let j = i + 1;
    while (j < sorted.length && sorted[j]!.minutes === sorted[i]!.minutes) j++;
    const same = sorted.slice(i, j);
    if (same.length === 1) out.push(same[0]!);
    else {
      const distinct = same.filter(
        (s, k) =>
          !same
            .slice(0, k)
            .some((o) => o.temperature === s.temperature && o.humidity === s.humidity),
      );
      for (let k = distinct.length; k < same.length; k++) repeats.push(same[0]!.minutes);
      if (distinct.length > 1 && !repeatedHours.has(same[0]!.minutes))
        overlaps.push(same[0]!.minutes);
      out.push(average(distinct));
    }
    i = j;
  }
  report(findings, 'duplicate', repeats, 'rows written twice', 'dropped');
  report(findings, 'overlap', overlaps, 'two readings of one minute', 'averaged');
  return out;
}

function report(
  findings: ClimateFinding[],
  kind: 'duplicate' | 'overlap',
  at: readonly number[],
  detail: string,
  action: ClimateFinding['action'],
): void {
  if (at.length === 0) return;
  findings.push({
    kind,
    from: labelOfMinutes(at[0]!),
    to: labelOfMinutes(at.at(-1)!),
    rows: at.length,
    detail,
    action,
  });
}

function average(samples: readonly Sample[]): Sample {
  const wet = samples.flatMap((s) => (s.humidity === null ? [] : [s.humidity]));
  return {
    minutes: samples[0]!.minutes,
    temperature: samples.reduce((sum, s) => sum + s.temperature, 0) / samples.length,
    humidity: wet.length > 0 ? wet.reduce((a, b) => a + b, 0) / wet.length : null,
  };
}
