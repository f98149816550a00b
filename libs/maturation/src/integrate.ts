import { DRY_SHARE, DRY_STEPS, type Vessel } from './geometry.ts';
import {
  ACTIVITY,
  ACTIVITY_STRIDE,
  ETHANOL_KG_PER_LITRE,
  FRACTION_STEPS,
  LITRES_PER_KG,
  WATER_KG_PER_LITRE,
} from './mixture-tables.ts';
import { LAG_START_SHARE, REFERENCE_KW, REFERENCE_RATIO, THETA_COUNT } from './priors.ts';
import type { LiquidEvent, Steps } from './steps.ts';
import { ETHANOL_KG_PER_MOL, WATER_KG_PER_MOL } from './vapour-pressure.ts';

/** Layout of a parameter vector: contents at the start, then THETA, then a leak. */
export const P_ETHANOL = 0;
export const P_WATER = 1;
export const P_THETA = 2;
export const P_LEAK = P_THETA + THETA_COUNT;
export const P_LEAK_FROM = P_LEAK + 1;
export const P_LEAK_TO = P_LEAK + 2;
export const P_COUNT = P_LEAK + 3;

const SECONDS_PER_YEAR = 86400 * 365.25;
/** share of a component that one step (a month at most) can take */
const MOST_LOST = 0.6;

/** Where lost liquid went, kg: filled when asked for. */
export interface LossTally {
  soakEthanol: number;
  soakWater: number;
  evaporatedEthanol: number;
  evaporatedWater: number;
  leakEthanol: number;
  leakWater: number;
  drawnEthanol: number;
  drawnWater: number;
  addedEthanol: number;
  addedWater: number;
}

/**
 * Integrates ethanol and water through the planned steps and writes (ethanol kg, water kg) at each
 * mark into `out` from `outOffset` on. Explicit midpoint by the rates of the step before: the rates
 * of a cask change by a per cent or less from month to month.
 *
 *   dm_e/dt = −A k_e φ g · a_e(p,T) P_e                   (kg through molar mass)
 *   dm_w/dt = −A k_w φ g · (a_w(p,T) P_w − e − δ P_w)
 *
 * φ = 1 − headspace × dry share of the wall; g = drift of the rate with age × its rise by degree.
 * A share of the flux follows its drive at once (and starts up after filling), the rest goes through
 * a wall that follows with a lag of some months.
 */
export function integrate(
  steps: Steps,
  vessel: Vessel,
  soakReferenceLitres: number,
  events: readonly LiquidEvent[],
  parameters: Float64Array,
  out: Float64Array,
  outOffset: number,
  tally?: LossTally,
): void {
  const {
    seconds, waterPa, vapourPa, ethanolPa, nodeOffset, nodeShare, warmth, lag, follow, keep, soak, drift,
    shiftWater, shiftEthanol, shiftHumidity, mark, event, firstDay, lastDay,
  } = steps; // prettier-ignore
  const dryTable = DRY_SHARE[vessel.upright ? 1 : 0];
  const perLitreCapacity = DRY_STEPS / vessel.capacityLitres;
  const kWater = REFERENCE_KW * vessel.innerAreaM2 * WATER_KG_PER_MOL;
  const kEthanol = REFERENCE_KW * REFERENCE_RATIO * vessel.innerAreaM2 * ETHANOL_KG_PER_MOL;
  let ethanol = parameters[P_ETHANOL]!;
  let water = parameters[P_WATER]!;
  const lnKw = parameters[P_THETA]!;
  const lnKe = parameters[P_THETA + 1]!;
  const humidity = parameters[P_THETA + 2]!;
  const driftPerYear = parameters[P_THETA + 3]!;
  const soakLitres = soakReferenceLitres * Math.exp(parameters[P_THETA + 4]!);
  const headspace = parameters[P_THETA + 5]!;
  const stave = parameters[P_THETA + 6]!;
  const lagShare = parameters[P_THETA + 7]!;
  const perDegree = parameters[P_THETA + 8]!;
  const leakPerSecond = parameters[P_LEAK]! / SECONDS_PER_YEAR;
  const leakFrom = parameters[P_LEAK_FROM]!;
  const leakTo = parameters[P_LEAK_TO]!;
  let factorWater = kWater * Math.exp(lnKw);
  let factorEthanol = kEthanol * Math.exp(lnKe);
  let shiftedWater = 0;
  let shiftedEthanol = 0;
  let ageing = 1;
  // what the wall passes on by itself, kg/s: NaN until the first step sets it
  let wallEthanol = NaN;
  let wallWater = NaN;
  let rateEthanol = 0;
  let rateWater = 0;

  for (let i = 0; i < steps.count; i++) {
    const dt = seconds[i]!;
    if ((dt > 0 || follow[i]! > 0) && ethanol + water > 0) {
      if (shiftWater[i] !== shiftedWater || shiftEthanol[i] !== shiftedEthanol) {
        shiftedWater = shiftWater[i]!;
        shiftedEthanol = shiftEthanol[i]!;
        factorWater = kWater * Math.exp(lnKw + shiftedWater);
        factorEthanol = kEthanol * Math.exp(lnKe + shiftedEthanol);
      }
      const r = driftPerYear * drift[i]!;
      ageing *= Math.abs(r) < 0.02 ? 1 + r + 0.5 * r * r : Math.exp(r);
      // contents in the middle of the step
      let midEthanol = ethanol - 0.5 * rateEthanol * dt;
      let midWater = water - 0.5 * rateWater * dt;
      if (!(midEthanol > 0 && midWater > 0)) {
        midEthanol = ethanol;
        midWater = water;
      }
      const mass = midEthanol + midWater;
      const position = (midEthanol / mass) * FRACTION_STEPS;
      const n = position | 0;
      const s = position - n;
      const litresPerKg = LITRES_PER_KG[n]! + s * (LITRES_PER_KG[n + 1]! - LITRES_PER_KG[n]!);
      const level = Math.min(DRY_STEPS, mass * litresPerKg * perLitreCapacity);
      const m = level | 0;
      const dry = dryTable[m]! + (level - m) * (dryTable[m + 1]! - dryTable[m]!);
      const q = nodeOffset[i]! + n * 2;
      const u = q + ACTIVITY_STRIDE;
      const h = nodeShare[i]!;
      const coldEthanol = ACTIVITY[q]! + s * (ACTIVITY[q + 2]! - ACTIVITY[q]!);
      const warmEthanol = ACTIVITY[u]! + s * (ACTIVITY[u + 2]! - ACTIVITY[u]!);
      const coldWater = ACTIVITY[q + 1]! + s * (ACTIVITY[q + 3]! - ACTIVITY[q + 1]!);
      const warmWater = ACTIVITY[u + 1]! + s * (ACTIVITY[u + 3]! - ACTIVITY[u + 1]!);
      const d = perDegree * warmth[i]!;
      const breathing = (1 - headspace * dry) * ageing * (1 + d + 0.5 * d * d);
      const pw = waterPa[i]!;
      const driveEthanol =
        factorEthanol * breathing * (coldEthanol + h * (warmEthanol - coldEthanol)) * ethanolPa[i]!;
      const driveWater =
        factorWater *
        breathing *
        ((coldWater + h * (warmWater - coldWater) - humidity - shiftHumidity[i]!) * pw -
          vapourPa[i]!);
      if (wallEthanol !== wallEthanol) {
        // a fresh filling starts below its steady rate, a plan begun later does not
        const begun = seconds[i]! > 0 ? LAG_START_SHARE : 1;
        wallEthanol = begun * driveEthanol;
        wallWater = begun * driveWater;
      }
      const held = keep[i]!;
      rateEthanol =
        (1 - lagShare) * lag[i]! * driveEthanol +
        lagShare * (driveEthanol + held * (wallEthanol - driveEthanol));
      rateWater =
        (1 - lagShare) * lag[i]! * driveWater +
        lagShare * (driveWater + held * (wallWater - driveWater));
      wallEthanol += follow[i]! * (driveEthanol - wallEthanol);
      wallWater += follow[i]! * (driveWater - wallWater);
      if (dt === 0) continue;
      const kgPerLitre = 1 / litresPerKg;
      const share = midEthanol / mass;
      let soakedEthanol = 0;
      let soakedWater = 0;
      const soaked = soakLitres * soak[i]!;
      if (soaked > 0) {
        // damp staves hand out water for some of the ethanol they take
        const swapped = stave * soaked * share;
        soakedEthanol = soaked * kgPerLitre * share + swapped * ETHANOL_KG_PER_LITRE;
        soakedWater = soaked * kgPerLitre * (1 - share) - swapped * WATER_KG_PER_LITRE;
      }
      let leaked = 0;
      if (leakPerSecond > 0 && lastDay[i]! > leakFrom && firstDay[i]! < leakTo) {
        const days = Math.min(lastDay[i]!, leakTo) - Math.max(firstDay[i]!, leakFrom);
        leaked = leakPerSecond * days * 86400 * kgPerLitre;
      }
      const lostEthanol = rateEthanol * dt + soakedEthanol + leaked * share;
      const lostWater = rateWater * dt + soakedWater + leaked * (1 - share);
      // the last of a cask goes ever more slowly: no step takes more than this of what is there
      const partEthanol =
        lostEthanol > MOST_LOST * ethanol ? (MOST_LOST * ethanol) / lostEthanol : 1;
      const partWater = lostWater > MOST_LOST * water ? (MOST_LOST * water) / lostWater : 1;
      ethanol -= lostEthanol * partEthanol;
      water -= lostWater * partWater;
      if (tally) {
        tally.evaporatedEthanol += rateEthanol * dt * partEthanol;
        tally.evaporatedWater += rateWater * dt * partWater;
        tally.soakEthanol += soakedEthanol * partEthanol;
        tally.soakWater += soakedWater * partWater;
        tally.leakEthanol += leaked * share * partEthanol;
        tally.leakWater += leaked * (1 - share) * partWater;
      }
    }
    const at = mark[i]!;
    if (at >= 0) {
      out[outOffset + at * 2] = ethanol;
      out[outOffset + at * 2 + 1] = water;
    }
    const happening = event[i]!;
    if (happening >= 0) {
      const what = events[happening]!;
      const mass = ethanol + water;
      if (what.drawnLitres > 0 && mass > 0) {
        const position = (ethanol / mass) * FRACTION_STEPS;
        const n = position | 0;
        const perKg =
          LITRES_PER_KG[n]! + (position - n) * (LITRES_PER_KG[n + 1]! - LITRES_PER_KG[n]!);
        const share = Math.min(1, what.drawnLitres / (mass * perKg));
        if (tally) {
          tally.drawnEthanol += ethanol * share;
          tally.drawnWater += water * share;
        }
        ethanol -= ethanol * share;
        water -= water * share;
      }
      ethanol += what.ethanolKg;
      water += what.waterKg;
      if (tally) {
        tally.addedEthanol += what.ethanolKg;
        tally.addedWater += what.waterKg;
      }
    }
  }
}
