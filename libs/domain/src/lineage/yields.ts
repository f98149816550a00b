import { ethanolDensity20C } from '@rundlet/alcoholometry';

/**
 * By how much a step may exceed what it was made of before it is refused: two measurements of one liquid, each at the
 * limit of a measuring system of accuracy class 0.5 (0.5 %, Directive 2014/32/EU, annex VII, from memory) and in opposite
 * directions. That the same 1 % serves for weighed fruit and for dipped vats is common practice, no published source.
 */
export const YIELD_TOLERANCE = 1.01;

/**
 * By how much what is received as spirit lots may exceed the hearts of its runs: still and vat are gauged apart, and a dip in a
 * small receiver is off by more than a meter. Common practice, no published source.
 */
export const RECEIPT_TOLERANCE = 1.03;

/** Molar masses, g/mol (IUPAC standard atomic weights): C6H12O6 → 2 C2H5OH + 2 CO2, the Gay-Lussac equation. */
const HEXOSE = 180.156;
const ETHANOL = 46.069;

/** The most ethanol that a mass of hexose sugar can ferment to: 51.1 % of its mass, kg. */
export function mostEthanolKg(sugarKg: number): number {
  return (sugarKg * 2 * ETHANOL) / HEXOSE;
}

/** Ethanol in a liquid of this volume and strength, kg. */
export function ethanolKgOf(bulkLitresAt20C: number, strengthPercentVol: number): number {
  return (bulkLitresAt20C * strengthPercentVol * ethanolDensity20C) / 100 / 1000;
}
