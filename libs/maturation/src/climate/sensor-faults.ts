import type { ClimateFinding } from '../types.ts';
import { STORE_C } from '../vapour-pressure.ts';
import type { Sample } from './sequence.ts';
import { labelOfMinutes } from './stamp.ts';

/** a figure that stays exactly the same this long, over this many rows, is a stuck sensor */
const STUCK_MINUTES = 7 * 1440;
const STUCK_ROWS = 12;
const HUMIDITY_PERCENT = { min: 0, max: 105 };

/** Drops impossible figures and what a stuck sensor repeats; humidities of 100–105 % become 100. */
export function withoutFaults(samples: readonly Sample[], findings: ClimateFinding[]): Sample[] {
  return unstick(withinRange(samples, findings), findings);
}

function withinRange(samples: readonly Sample[], findings: ClimateFinding[]): Sample[] {
  const out: Sample[] = [];
  const bad: Sample[] = [];
  let dry = 0;
  for (const s of samples) {
    if (s.temperature < STORE_C.min || s.temperature > STORE_C.max) {
      bad.push(s);
      continue;
    }
    let humidity = s.humidity;
    if (
      humidity !== null &&
      (humidity <= HUMIDITY_PERCENT.min || humidity > HUMIDITY_PERCENT.max)
    ) {
      bad.push(s);
      humidity = null;
    }
    if (humidity === null) dry++;
    out.push({ ...s, humidity: humidity === null ? null : Math.min(100, humidity) });
  }
  if (bad.length > 0) {
    findings.push({
      kind: 'out-of-range',
      from: labelOfMinutes(bad[0]!.minutes),
      to: labelOfMinutes(bad.at(-1)!.minutes),
      rows: bad.length,
      detail: 'temperature outside −40 to 60 °C or humidity outside 0 to 105 %',
      action: 'dropped',
    });
  }
  if (dry > 0 && out.length > 0) {
    findings.push({
      kind: 'humidity-missing',
      from: labelOfMinutes(out[0]!.minutes),
      to: labelOfMinutes(out.at(-1)!.minutes),
      rows: dry,
      detail: 'no humidity; the day counts for temperature',
      action: 'left-empty',
    });
  }
  return out;
}

function unstick(samples: readonly Sample[], findings: ClimateFinding[]): Sample[] {
  const stuckT = runs(samples, (s) => s.temperature);
  const stuckH = runs(samples, (s) => s.humidity);
  const report = (
    range: readonly [number, number],
    what: string,
    action: ClimateFinding['action'],
  ): void => {
    findings.push({
      kind: 'stuck-sensor',
      from: labelOfMinutes(samples[range[0]]!.minutes),
      to: labelOfMinutes(samples[range[1]]!.minutes),
      rows: range[1] - range[0] + 1,
      detail: `${what} never moved`,
      action,
    });
  };
  for (const range of stuckT) report(range, 'temperature', 'dropped');
  for (const range of stuckH) report(range, 'humidity', 'left-empty');
  const within = (ranges: readonly (readonly [number, number])[], i: number): boolean =>
    ranges.some(([a, b]) => i >= a && i <= b);
  return samples.flatMap((s, i) =>
    within(stuckT, i) ? [] : [within(stuckH, i) ? { ...s, humidity: null } : s],
  );
}

function runs(
  samples: readonly Sample[],
  value: (s: Sample) => number | null,
): (readonly [number, number])[] {
  const found: (readonly [number, number])[] = [];
  let from = 0;
  for (let i = 1; i <= samples.length; i++) {
    const goesOn = i < samples.length && value(samples[i]!) === value(samples[from]!);
    if (goesOn) continue;
    const last = i - 1;
    const long =
      samples[last] !== undefined &&
      samples[last].minutes - samples[from]!.minutes >= STUCK_MINUTES &&
      last - from + 1 >= STUCK_ROWS;
    if (long && value(samples[from]!) !== null) found.push([from, last]);
    from = i;
  }
  return found;
}
