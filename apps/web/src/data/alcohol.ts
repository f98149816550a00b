import { ethanolDensity20C } from '@rundlet/alcoholometry';

/** Litres of pure alcohol in a mass of ethanol, as the journal’s outcomes carry it. */
export const litresPureAlcoholOfEthanolMg = (mg: number): number =>
  (mg / 1e6 / ethanolDensity20C) * 1000;
