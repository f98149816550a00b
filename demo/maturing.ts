import { activities, ETHANOL_KG_PER_MOL, WATER_KG_PER_MOL } from './vapour.ts';
import type { ZoneAir } from './weather.ts';

/** What makes one cask lose as it does; drawn once when the cask is made. */
export interface Wood {
  readonly areaM2: number;
  /** mol m⁻² s⁻¹ Pa⁻¹ */
  readonly waterPermeability: number;
  readonly ethanolPermeability: number;
}

/** What is really in a cask, as opposed to what the book says. */
export interface Contents {
  ethanolKg: number;
  waterKg: number;
  /** the day it is true for */
  day: number;
  filledDay: number;
  /** spirit that the wood will still drink, kg */
  thirstKg: number;
  /** litres a year running out, from a day on */
  leak: { fromDay: number; kgPerYear: number } | null;
}

export interface Losses {
  evaporatedEthanolKg: number;
  soakedEthanolKg: number;
  leakedEthanolKg: number;
}

const SECONDS_PER_DAY = 86_400;
/** Days over which the wood drinks, and over which the flow through it settles: common practice, no published source. */
const SOAK_DAYS = 30;
const SETTLING_DAYS = 70;

/**
 * Lets contents mature to `toDay` in daily steps: each component leaves through the wood by its vapour pressure over the
 * liquid less what the air holds of it, so water comes in where the air is damp enough.
 */
export function mature(contents: Contents, wood: Wood, air: ZoneAir, toDay: number): Losses {
  const losses = { evaporatedEthanolKg: 0, soakedEthanolKg: 0, leakedEthanolKg: 0 };
  const perPa = wood.areaM2 * SECONDS_PER_DAY;
  const takeOut = (kg: number): number => {
    const total = contents.ethanolKg + contents.waterKg;
    const share = Math.min(0.5, kg / total);
    const ethanolKg = contents.ethanolKg * share;
    contents.ethanolKg -= ethanolKg;
    contents.waterKg *= 1 - share;
    return ethanolKg;
  };
  for (; contents.day < toDay; contents.day++) {
    const i = contents.day - air.firstDay;
    if (contents.ethanolKg + contents.waterKg < 0.5) continue;
    const e = contents.ethanolKg / ETHANOL_KG_PER_MOL;
    const w = contents.waterKg / WATER_KG_PER_MOL;
    const activity = activities(e / (e + w));
    const settled = 1 - Math.exp(-(contents.day - contents.filledDay + 1) / SETTLING_DAYS);
    const ethanolPa = activity.ethanol * (air.ethanolPa[i] ?? 0);
    const waterPa = (activity.water - (air.humidity[i] ?? 0)) * (air.waterPa[i] ?? 0);
    const ethanolKg = settled * perPa * wood.ethanolPermeability * ethanolPa * ETHANOL_KG_PER_MOL;
    contents.ethanolKg -= ethanolKg;
    contents.waterKg -= settled * perPa * wood.waterPermeability * waterPa * WATER_KG_PER_MOL;
    losses.evaporatedEthanolKg += ethanolKg;
    const drunk = contents.thirstKg / SOAK_DAYS;
    if (drunk > 1e-6) {
      contents.thirstKg -= drunk;
      losses.soakedEthanolKg += takeOut(drunk);
    }
    if (contents.leak !== null && contents.day >= contents.leak.fromDay)
      losses.leakedEthanolKg += takeOut(contents.leak.kgPerYear / 365.25);
  }
  return losses;
}
