/**
 * The readings that such a liquid would give: every gauge of the demo starts from what is really in the vessel and goes
 * through a dip rod, a scale, a meter and a hydrometer with their ordinary errors.
 */
import {
  densityFromStrength,
  densityInAir,
  hydrometerReadingPercentVol,
  litresAtTemperature,
  volumeOfLiquid,
  type Liquid,
} from '@rundlet/alcoholometry';
import type { GaugeReadings, StrengthReading } from '@rundlet/contracts';
import { capacityLitres, dipForContents } from '@rundlet/gauging';
import type { MadeCask } from './cooperage.ts';
import type { Random } from './random.ts';

const round = (value: number, step: number): number =>
  Math.round(Math.round(value / step) * step * 1e6) / 1e6;

function strengthReading(
  random: Random,
  strength: number,
  temperatureC: number,
  how: 'hydrometer' | 'densitometer' | 'laboratory',
): StrengthReading {
  switch (how) {
    case 'hydrometer':
      return {
        kind: 'hydrometer',
        readingPercentVol: round(
          hydrometerReadingPercentVol(strength, temperatureC) + random.normal(0, 0.08),
          0.1,
        ),
        temperatureC: round(temperatureC + random.normal(0, 0.15), 0.1),
      };
    case 'densitometer': {
      // The instrument brings its jar of spirit to a steady temperature nearer to the bench's than the cask's.
      const benchC = round(temperatureC + random.between(1, 4), 0.1);
      return {
        kind: 'densitometer',
        densityKgPerM3: round(densityFromStrength(strength, benchC) + random.normal(0, 0.05), 0.01),
        temperatureC: benchC,
      };
    }
    case 'laboratory':
      return {
        kind: 'laboratory',
        strengthPercentVol: round(strength + random.normal(0, 0.03), 0.01),
      };
  }
}

/** A cask gauged by dip or by weight; a hydrometer in the years before the densitometer came. */
export function caskReadings(
  random: Random,
  cask: MadeCask,
  liquid: Liquid,
  truth: {
    readonly liquidTemperatureC: number;
    readonly thirstDrunkKg: number;
    readonly modern: boolean;
  },
  method: 'dip' | 'weight',
): GaugeReadings {
  const { bulkLitresAt20C, strengthPercentVol } = volumeOfLiquid(liquid);
  const t = truth.liquidTemperatureC;
  const strength = strengthReading(
    random,
    strengthPercentVol,
    t,
    truth.modern
      ? random.weighted(['densitometer', 'hydrometer'] as const, (k) =>
          k === 'densitometer' ? 3 : 1,
        )
      : 'hydrometer',
  );
  const liquidTemperatureC = round(t + random.normal(0, 0.15), 0.1);
  if (method === 'weight') {
    const density = densityFromStrength(strengthPercentVol, t);
    const litres = litresAtTemperature(bulkLitresAt20C, t, strengthPercentVol);
    // The wet cask weighs more than when its tare was struck; the keeper allows for what such wood drinks.
    const wetTareKg = cask.tareKg + truth.thirstDrunkKg;
    const allowedTareKg = round(
      wetTareKg + random.normal(0, truth.thirstDrunkKg > 0.5 ? 0.7 : 0.1),
      0.5,
    );
    return {
      method: 'weight',
      grossKg: round(
        wetTareKg + (litres * densityInAir(density)) / 1000 + random.normal(0, 0.15),
        0.1,
      ),
      tareKg: allowedTareKg,
      liquidTemperatureC,
      strength,
    };
  }
  const geometryLitres = capacityLitres(cask.geometry);
  const litres = litresAtTemperature(bulkLitresAt20C, t, strengthPercentVol);
  const asFigured = Math.min(geometryLitres, (litres / cask.trueCapacityLitres) * geometryLitres);
  const { wetDipMm } = dipForContents(cask.geometry, 'lying', asFigured);
  const dip = Math.round(wetDipMm + cask.dipBiasMm + random.normal(0, 1.5));
  const wet = Math.max(0, Math.min(cask.geometry.bilgeDiameterMm - 1, dip));
  return random.chance(0.25)
    ? {
        method: 'ullage',
        orientation: 'lying',
        dryDipMm: cask.geometry.bilgeDiameterMm - wet,
        liquidTemperatureC,
        strength,
      }
    : { method: 'dip', orientation: 'lying', wetDipMm: wet, liquidTemperatureC, strength };
}

/** A cask of the first years, known from the paper book only: figures at 20 °C with the book's own uncertainty. */
export function paperReadings(random: Random, cask: MadeCask, liquid: Liquid): GaugeReadings {
  const { bulkLitresAt20C, strengthPercentVol } = volumeOfLiquid(liquid);
  const u = round(1.1 * (cask.cooperage.nominalLitres / 200) ** 0.6, 0.1);
  return {
    method: 'declared',
    bulkLitresAt20C: round(bulkLitresAt20C + random.normal(0, u * 0.8), 0.5),
    strengthPercentVol: round(strengthPercentVol + random.normal(0, 0.08), 0.1),
    uncertaintyLitres: u,
    uncertaintyPercentVol: 0.1,
  };
}

/** A vat stands on load cells; its strength is read with the densitometer. */
export function vatReadings(random: Random, liquid: Liquid, temperatureC: number): GaugeReadings {
  const { bulkLitresAt20C, strengthPercentVol } = volumeOfLiquid(liquid);
  const density = densityFromStrength(strengthPercentVol, temperatureC);
  const litres = litresAtTemperature(bulkLitresAt20C, temperatureC, strengthPercentVol);
  return {
    method: 'weight',
    grossKg: round((litres * densityInAir(density)) / 1000 + random.normal(0, 0.4), 0.5),
    tareKg: 0,
    liquidTemperatureC: round(temperatureC, 0.1),
    strength: strengthReading(random, strengthPercentVol, temperatureC, 'densitometer'),
  };
}

export type Blunder = 'slipped-digits' | 'not-corrected' | 'wrong-cask';

/** The same readings as a tired hand would write them, or null where the slip would not show. */
export function blunder(
  random: Random,
  readings: GaugeReadings,
  neighbour: GaugeReadings | null,
): GaugeReadings | null {
  const kind = random.pick<Blunder>(['slipped-digits', 'not-corrected', 'wrong-cask']);
  if (kind === 'wrong-cask') return neighbour;
  if (kind === 'not-corrected') {
    if (readings.method === 'declared' || readings.strength.kind !== 'hydrometer') return null;
    // Read in the cold aisle, written down as if it had been 20 °C.
    return { ...readings, strength: { ...readings.strength, temperatureC: 20 } };
  }
  if (readings.method !== 'dip') return null;
  const digits = String(readings.wetDipMm);
  const slipped = Number(`${digits.slice(0, -2)}${digits.slice(-1)}${digits.slice(-2, -1)}`);
  return slipped < readings.wetDipMm - 15 ? { ...readings, wetDipMm: slipped } : null;
}
