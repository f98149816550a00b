import { ethanolDensity20C } from '@rundlet/alcoholometry';

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
