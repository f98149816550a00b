import type { Random } from './random.ts';
import type { Content } from './wood.ts';

export interface RegaugeRow {
  date: string;
  method: 'dip' | 'weight';
  bulk_l_20c: number;
  abv_20c_pct: number;
  liquid_temp_c: number;
}

export type BlunderKind = 'none' | 'wrong-cask' | 'digit' | 'uncorrected-strength' | 'copied';

const round1 = (x: number): number => Math.round(x * 10) / 10;

/** A reading as an honest hand would write it. */
export function honestReading(
  truth: Content,
  date: string,
  method: 'dip' | 'weight',
  capacity: number,
  dipBias: number,
  liquidC: number,
  random: Random,
): RegaugeRow {
  const scale = (capacity / 200) ** 0.6;
  const litres =
    method === 'dip'
      ? truth.bulkLitresAt20C + dipBias + random.normal(0, 1.0 * scale)
      : truth.bulkLitresAt20C * (1 + random.normal(0, 0.0008)) + random.normal(0, 0.3);
  return {
    date,
    method,
    bulk_l_20c: round1(Math.max(0, litres)),
    abv_20c_pct: round1(Math.max(0, truth.strengthPercentVol + random.normal(0, 0.11))),
    liquid_temp_c: round1(liquidC + random.normal(0, 0.4)),
  };
}

const slipDigit = (value: number, random: Random): number => {
  const digits = String(value.toFixed(1)).split('');
  const places = digits.map((d, i) => (d === '.' ? -1 : i)).filter((i) => i >= 0 && i < 3);
  if (random.chance(0.5)) {
    const i = places[random.integer(0, places.length - 2)]!;
    const j = places[places.indexOf(i) + 1]!;
    [digits[i], digits[j]] = [digits[j]!, digits[i]!];
    if (digits.join('') === value.toFixed(1)) return value + 10;
    return Number(digits.join(''));
  }
  const step = random.pick([10, -10, 20, -20, 5, -5]);
  return Math.max(0.1, round1(value + step));
};

/** Spoils a reading in one of the usual ways; null when the way needs something that is not there. */
export function blunder(
  kind: BlunderKind,
  honest: RegaugeRow,
  otherCask: Content | null,
  older: RegaugeRow | null,
  random: Random,
): RegaugeRow | null {
  switch (kind) {
    case 'none':
      return honest;
    case 'wrong-cask':
      return otherCask === null
        ? null
        : {
            ...honest,
            bulk_l_20c: round1(otherCask.bulkLitresAt20C + random.normal(0, 1)),
            abv_20c_pct: round1(otherCask.strengthPercentVol + random.normal(0, 0.11)),
          };
    case 'digit':
      return random.chance(0.65)
        ? { ...honest, bulk_l_20c: slipDigit(honest.bulk_l_20c, random) }
        : { ...honest, abv_20c_pct: slipDigit(honest.abv_20c_pct, random) };
    case 'uncorrected-strength':
      return Math.abs(honest.liquid_temp_c - 20) < 3
        ? null
        : {
            ...honest,
            abv_20c_pct: round1(honest.abv_20c_pct + 0.36 * (honest.liquid_temp_c - 20)),
          };
    case 'copied':
      return older === null
        ? null
        : { ...honest, bulk_l_20c: older.bulk_l_20c, abv_20c_pct: older.abv_20c_pct };
  }
}
