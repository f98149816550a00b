import { ethanolDensity20C, liquidFromVolume } from '@rundlet/alcoholometry';
import type { CandidateCask } from './candidate.ts';

/** Litres of pure alcohol at 20 °C to kilograms of ethanol. */
export const ETHANOL_KG_PER_LPA = ethanolDensity20C / 1000;

/** The additive figures of every candidate, in arrays, in the order of the candidates. */
export interface Stock {
  readonly casks: readonly CandidateCask[];
  readonly litres: Float64Array;
  readonly litresPureAlcohol: Float64Array;
  readonly massKg: Float64Array;
}

export function stockOf(casks: readonly CandidateCask[]): Stock {
  const litres = new Float64Array(casks.length);
  const litresPureAlcohol = new Float64Array(casks.length);
  const massKg = new Float64Array(casks.length);
  casks.forEach((cask, i) => {
    const liquid = liquidFromVolume(cask.bulkLitresAt20C, cask.strengthPercentVol);
    litres[i] = cask.bulkLitresAt20C;
    litresPureAlcohol[i] = liquid.ethanolKg / ETHANOL_KG_PER_LPA;
    massKg[i] = liquid.ethanolKg + liquid.waterKg;
  });
  return { casks, litres, litresPureAlcohol, massKg };
}
