import type { ClimateFinding } from '../types.ts';
import type { Sample } from './sequence.ts';
import { labelOfMinutes } from './stamp.ts';

/** a jump of this much between days, in either column, opens a block that is judged by itself */
const JUMP_TEMPERATURE = 15;
const JUMP_HUMIDITY = 35;
/** rows that make a block worth judging */
const FEWEST_ROWS = 12;
/** how much better (natural logarithm) another reading of the columns must be */
const MARGIN = 4;

interface Reading {
  kind: 'as-is' | 'fahrenheit' | 'swapped-columns' | 'swapped-fahrenheit';
  temperature: (t: number, h: number | null) => number;
  humidity: (t: number, h: number | null) => number | null;
}

const celsius = (fahrenheit: number): number => ((fahrenheit - 32) * 5) / 9;

const READINGS: readonly Reading[] = [
  { kind: 'as-is', temperature: (t) => t, humidity: (_t, h) => h },
  { kind: 'fahrenheit', temperature: (t) => celsius(t), humidity: (_t, h) => h },
  { kind: 'swapped-columns', temperature: (_t, h) => h ?? NaN, humidity: (t) => t },
  { kind: 'swapped-fahrenheit', temperature: (_t, h) => celsius(h ?? NaN), humidity: (t) => t },
];

/**
 * Finds out, block by block, whether the columns are what they claim: °C and %. Stores lie around
 * 14 ± 10 °C and 70 ± 18 % RH; another reading of the columns must explain a block far better than
 * the plain one before it is taken. Humidities written as fractions become per cent.
 */
export function settleUnits(samples: readonly Sample[], findings: ClimateFinding[]): Sample[] {
  const blocks = blocksOf(scaleFractions(samples, findings));
  const judged = blocks.map((b) => (b.length < FEWEST_ROWS ? null : likeliest(b)));
  const out: Sample[] = [];
  let before: Sample | null = null;
  blocks.forEach((block, i) => {
    const known = [...judged.slice(0, i).reverse(), ...judged.slice(i + 1)].filter(
      (r) => r !== null,
    );
    const reading = judged[i] ?? nearest(block, before, [READINGS[0]!, ...known.slice(0, 2)]);
    if (reading.kind !== 'as-is') tell(reading, block, findings);
    for (const s of block) out.push(convert(s, reading));
    before = out.at(-1) ?? null;
  });
  return out.filter((s) => Number.isFinite(s.temperature));
}

const convert = (s: Sample, reading: Reading): Sample => ({
  minutes: s.minutes,
  temperature: reading.temperature(s.temperature, s.humidity),
  humidity: reading.humidity(s.temperature, s.humidity),
});

/** A block too short to judge follows whichever reading continues what came before it. */
function nearest(
  block: readonly Sample[],
  before: Sample | null,
  readings: readonly Reading[],
): Reading {
  if (!before) return readings[1] ?? readings[0]!;
  const distance = (reading: Reading): number => {
    const s = convert(block[0]!, reading);
    const t = Math.abs(s.temperature - before.temperature);
    const h = Math.abs((s.humidity ?? before.humidity ?? 0) - (before.humidity ?? 0));
    return Number.isFinite(t) ? t + h / 3 : Infinity;
  };
  return readings.reduce((a, b) => (distance(b) < distance(a) ? b : a));
}

/** Says what was converted; neighbouring blocks of one kind become one finding. */
function tell(reading: Reading, block: readonly Sample[], findings: ClimateFinding[]): void {
  const kinds =
    reading.kind === 'swapped-fahrenheit'
      ? (['swapped-columns', 'fahrenheit'] as const)
      : ([reading.kind] as ('fahrenheit' | 'swapped-columns')[]);
  for (const kind of kinds) {
    const open = findings.findLast((f) => f.kind === kind);
    const to = labelOfMinutes(block.at(-1)!.minutes);
    if (open) {
      open.to = to;
      open.rows += block.length;
      continue;
    }
    findings.push({
      kind,
      from: labelOfMinutes(block[0]!.minutes),
      to,
      rows: block.length,
      detail:
        kind === 'fahrenheit'
          ? 'temperatures only make sense in °F'
          : 'temperature and humidity columns are exchanged',
      action: 'converted',
    });
  }
}

function scaleFractions(samples: readonly Sample[], findings: ClimateFinding[]): Sample[] {
  const wet = samples.flatMap((s) => (s.humidity === null ? [] : [s.humidity]));
  if (wet.length < FEWEST_ROWS || median(wet) > 1 || wet.some((h) => h > 1.1)) return [...samples];
  findings.push({
    kind: 'humidity-as-fraction',
    from: labelOfMinutes(samples[0]!.minutes),
    to: labelOfMinutes(samples.at(-1)!.minutes),
    rows: wet.length,
    detail: 'humidities of 0 to 1 read as fractions',
    action: 'converted',
  });
  return samples.map((s) => ({ ...s, humidity: s.humidity === null ? null : s.humidity * 100 }));
}

function blocksOf(samples: readonly Sample[]): Sample[][] {
  const blocks: Sample[][] = [];
  let block: Sample[] = [];
  let t = NaN;
  let h = NaN;
  for (const s of samples) {
    const jump =
      Math.abs(s.temperature - t) > JUMP_TEMPERATURE ||
      (s.humidity !== null && Math.abs(s.humidity - h) > JUMP_HUMIDITY);
    if (jump && block.length > 0) {
      blocks.push(block);
      block = [];
      t = NaN;
      h = NaN;
    }
    block.push(s);
    // a slow mean, so that one wild row does not open a block for its successor too
    t = Number.isFinite(t) ? t + 0.3 * (s.temperature - t) : s.temperature;
    if (s.humidity !== null) h = Number.isFinite(h) ? h + 0.3 * (s.humidity - h) : s.humidity;
  }
  if (block.length > 0) blocks.push(block);
  return blocks;
}

function likeliest(block: readonly Sample[]): Reading {
  const score = (reading: Reading): number => {
    const t = median(block.map((s) => reading.temperature(s.temperature, s.humidity)));
    const wet = block
      .map((s) => reading.humidity(s.temperature, s.humidity))
      .filter((h): h is number => h !== null);
    const h = wet.length > 0 ? median(wet) : 70;
    if (!(t > -45 && t < 65 && h >= 0 && h <= 105)) return -Infinity;
    return -0.5 * ((t - 14) / 10) ** 2 - 0.5 * ((h - 70) / 18) ** 2;
  };
  let best = READINGS[0]!;
  let bestScore = score(best) + MARGIN;
  for (const reading of READINGS.slice(1)) {
    const s = score(reading);
    if (s > bestScore) {
      best = reading;
      bestScore = s;
    }
  }
  return best;
}

function median(values: readonly number[]): number {
  const sorted = values.filter(Number.isFinite).sort((a, b) => a - b);
  return sorted.length > 0 ? sorted[sorted.length >> 1]! : NaN;
}
