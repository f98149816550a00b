import {
  liquidFromVolume,
  massFractionFromStrength,
  volumeOfLiquid,
  waterDensity20C,
  type SpiritVolume,
} from '@rundlet/alcoholometry';
import { figure } from './figures.ts';
import { waterInterval } from './realise.ts';

/** What the vat must come to, litres and % vol at 20 °C. */
export interface VatTarget {
  readonly lowLitresAt20C: number;
  readonly highLitresAt20C: number;
  readonly lowPercentVol: number;
  readonly highPercentVol: number;
  /** Strength steered to when the windows leave a choice; the middle when left out. */
  readonly targetPercentVol?: number;
}

export interface VatGauge {
  readonly bulkLitresAt20C: number;
  readonly strengthPercentVol: number;
}

export type Trim =
  | {
      readonly status: 'water';
      readonly waterKg: number;
      readonly waterLitresAt20C: number;
      /** Least and most water, litres at 20 °C, that keep both windows. */
      readonly leastWaterLitresAt20C: number;
      readonly mostWaterLitresAt20C: number;
      readonly vat: SpiritVolume;
    }
  | {
      /** No water brings the vat into both windows. */
      readonly status: 'out-of-reach';
      readonly why: 'too-weak' | 'too-little-alcohol' | 'too-much-alcohol' | 'water-not-allowed';
      /** Litres of pure alcohol to add (> 0) or leave out (< 0) for the nearest window. */
      readonly litresPureAlcoholToChange: number;
      readonly words: string;
    };

/**
 * The water still to add once the vat has been gauged: the plan's water was for forecast casks, this
 * is for what was really there.
 *
 * @param mostWaterLitresAt20C 0 for a blend at cask strength
 */
export function trimAtVat(
  gauge: VatGauge,
  target: VatTarget,
  mostWaterLitresAt20C = Infinity,
): Trim {
  const liquid = liquidFromVolume(gauge.bulkLitresAt20C, gauge.strengthPercentVol);
  const windows = {
    litres: [target.lowLitresAt20C, target.highLitresAt20C],
    percentVol: [target.lowPercentVol, target.highPercentVol],
  } as const;
  const kgPerLitre = waterDensity20C / 1000;
  const interval = waterInterval(liquid, windows, [0, mostWaterLitresAt20C * kgPerLitre]);
  if (!interval) return outOfReach(gauge, target, mostWaterLitresAt20C);
  const p = massFractionFromStrength(
    target.targetPercentVol ?? (target.lowPercentVol + target.highPercentVol) / 2,
  );
  const wanted = liquid.ethanolKg * (1 / p - 1) - liquid.waterKg;
  const waterKg = Math.min(Math.max(wanted, interval[0]), interval[1]);
  return {
    status: 'water',
    waterKg,
    waterLitresAt20C: waterKg / kgPerLitre,
    leastWaterLitresAt20C: interval[0] / kgPerLitre,
    mostWaterLitresAt20C: interval[1] / kgPerLitre,
    vat: volumeOfLiquid({ ethanolKg: liquid.ethanolKg, waterKg: liquid.waterKg + waterKg }),
  };
}

function outOfReach(gauge: VatGauge, target: VatTarget, mostWater: number): Trim {
  const lpa = (gauge.bulkLitresAt20C * gauge.strengthPercentVol) / 100;
  const least = (target.lowLitresAt20C * target.lowPercentVol) / 100;
  const most = (target.highLitresAt20C * target.highPercentVol) / 100;
  const result = (
    why: Extract<Trim, { status: 'out-of-reach' }>['why'],
    change: number,
    words: string,
  ): Trim => ({ status: 'out-of-reach', why, litresPureAlcoholToChange: change, words });
  if (gauge.strengthPercentVol < target.lowPercentVol)
    return result(
      'too-weak',
      Math.max(0, least - lpa),
      `The vat stands at ${figure(gauge.strengthPercentVol, 3)} % vol, under the ${figure(target.lowPercentVol, 3)} % vol wanted: water cannot help, add stronger spirit.`,
    );
  if (lpa < least)
    return result(
      'too-little-alcohol',
      least - lpa,
      `The vat holds ${figure(lpa)} L of pure alcohol; ${figure(least - lpa)} L more are needed for the least volume at the least strength.`,
    );
  if (lpa > most)
    return result(
      'too-much-alcohol',
      most - lpa,
      `The vat holds ${figure(lpa)} L of pure alcohol, ${figure(lpa - most)} L more than the largest volume takes at the highest strength: leave that much out or vat it apart.`,
    );
  return result(
    'water-not-allowed',
    0,
    `The windows would need more water than the ${figure(mostWater)} L allowed.`,
  );
}

export interface ReductionStep {
  readonly step: number;
  readonly waterKg: number;
  readonly waterLitresAt20C: number;
  readonly bulkLitresAt20C: number;
  readonly strengthPercentVol: number;
}

/**
 * Water in steps, each lowering the strength by at most so much, with rest between them as the
 * blender sees fit (slow reduction in steps is common practice; no published source).
 *
 * @throws RangeError when the spirit is already weaker than the end strength or a step is not > 0.
 */
export function reductionSteps(
  gauge: VatGauge,
  endPercentVol: number,
  mostDropPercentVol: number,
): ReductionStep[] {
  const drop = gauge.strengthPercentVol - endPercentVol;
  if (!(endPercentVol > 0 && drop >= 0))
    throw new RangeError(
      `end strength ${endPercentVol} % vol must be > 0 and at most ${gauge.strengthPercentVol} % vol`,
    );
  if (!(mostDropPercentVol > 0))
    throw new RangeError(`a step of ${mostDropPercentVol} % vol must be > 0`);
  const start = liquidFromVolume(gauge.bulkLitresAt20C, gauge.strengthPercentVol);
  const count = Math.ceil(drop / mostDropPercentVol - 1e-9);
  const steps: ReductionStep[] = [];
  let added = 0;
  for (let step = 1; step <= count; step++) {
    const strength = gauge.strengthPercentVol - (drop * step) / count;
    const total = start.ethanolKg * (1 / massFractionFromStrength(strength) - 1) - start.waterKg;
    const waterKg = total - added;
    added = total;
    const vat = volumeOfLiquid({ ethanolKg: start.ethanolKg, waterKg: start.waterKg + added });
    steps.push({
      step,
      waterKg,
      waterLitresAt20C: (1000 * waterKg) / waterDensity20C,
      bulkLitresAt20C: vat.bulkLitresAt20C,
      strengthPercentVol: vat.strengthPercentVol,
    });
  }
  return steps;
}
