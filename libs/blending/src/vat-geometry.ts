import { densityKgPerM3, massFractionFromStrength } from '@rundlet/alcoholometry';
import { ETHANOL_KG_PER_LPA } from './stock.ts';

/**
 * Volume as a linear function of masses near one composition: V ≈ perEthanolKg·E + perWaterKg·W.
 * The coefficients are the partial specific volumes at that composition, so the form is exact there
 * (volume is homogeneous of degree one in the masses: Euler) and second-order wrong off it.
 */
export interface LinearVolume {
  readonly perEthanolKg: number;
  readonly perWaterKg: number;
}

/** Specific volume at 20 °C, L/kg, at a mass fraction of ethanol. */
export function specificVolume(massFraction: number): number {
  return 1000 / densityKgPerM3(massFraction, 20);
}

/** Tangent plane of the volume at a mass fraction, by central difference of the density formula. */
export function tangentVolume(massFraction: number): LinearVolume {
  const step = 1e-5;
  const below = Math.max(0, massFraction - step);
  const above = Math.min(1, massFraction + step);
  const slope = (specificVolume(above) - specificVolume(below)) / (above - below);
  const v = specificVolume(massFraction);
  return {
    perEthanolKg: v + (1 - massFraction) * slope,
    perWaterKg: v - massFraction * slope,
  };
}

/** The plane through the exact volumes at two mass fractions. */
export function chordVolume(p: number, q: number): LinearVolume {
  if (Math.abs(p - q) < 1e-6) return tangentVolume((p + q) / 2);
  const slope = (specificVolume(q) - specificVolume(p)) / (q - p);
  const atZero = specificVolume(p) - p * slope;
  return { perEthanolKg: atZero + slope, perWaterKg: atZero };
}

/** Litres that a linear form gives for 1 kg at a mass fraction. */
export function linearSpecificVolume(form: LinearVolume, massFraction: number): number {
  return form.perEthanolKg * massFraction + form.perWaterKg * (1 - massFraction);
}

/** Smallest and largest exact/linear − 1 over a strength window (both signs possible). */
export function volumeError(
  form: LinearVolume,
  lowPercentVol: number,
  highPercentVol: number,
): { least: number; most: number } {
  let least = Infinity;
  let most = -Infinity;
  const steps = 64;
  for (let k = 0; k <= steps; k++) {
    const q = lowPercentVol + ((highPercentVol - lowPercentVol) * k) / steps;
    const p = massFractionFromStrength(q);
    const error = specificVolume(p) / linearSpecificVolume(form, p) - 1;
    least = Math.min(least, error);
    most = Math.max(most, error);
  }
  return { least, most };
}

/** Limits of the totals that follow from the volume and strength windows alone. */
export function totalsFromWindows(
  volume: readonly [number, number],
  strength: readonly [number, number],
): { lpa: [number, number]; massKg: [number, number] } {
  const [vLow, vHigh] = volume;
  const [qLow, qHigh] = strength;
  const density = (q: number): number => densityKgPerM3(massFractionFromStrength(q), 20) / 1000;
  return {
    lpa: [(vLow * qLow) / 100, (vHigh * qHigh) / 100],
    massKg: [vLow * density(qHigh), vHigh * density(qLow)],
  };
}

export function ethanolKg(litresPureAlcohol: number): number {
  return litresPureAlcohol * ETHANOL_KG_PER_LPA;
}
