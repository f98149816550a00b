import { densityKgPerM3 } from '@rundlet/alcoholometry';
import { activities, moleFractionFromMassFraction } from './vapour-pressure.ts';

/**
 * What the integration needs of the mixture, tabulated over ethanol mass fraction and temperature
 * so that a step costs a few loads instead of a few exponentials. Linear between nodes; against the
 * formulas the error stays below 2e-4 in an activity and 1e-6 in a specific volume (tested).
 */
export const FRACTION_STEPS = 512;
const FIRST_NODE_C = -40;
const NODE_STEP_C = 10;
const NODES_C = 11;
/** doubles between two temperature nodes */
export const ACTIVITY_STRIDE = (FRACTION_STEPS + 2) * 2;

/** [node][fraction][ethanol, water] activities */
export const ACTIVITY = new Float64Array(NODES_C * ACTIVITY_STRIDE);
/** litres at 20 °C per kg, by fraction */
export const LITRES_PER_KG = new Float64Array(FRACTION_STEPS + 2);

for (let i = 0; i <= FRACTION_STEPS; i++) {
  const fraction = i / FRACTION_STEPS;
  LITRES_PER_KG[i] = 1000 / densityKgPerM3(fraction, 20);
  const x = moleFractionFromMassFraction(fraction);
  for (let node = 0; node < NODES_C; node++) {
    const a = activities(x, FIRST_NODE_C + node * NODE_STEP_C);
    ACTIVITY[node * ACTIVITY_STRIDE + i * 2] = a.ethanol;
    ACTIVITY[node * ACTIVITY_STRIDE + i * 2 + 1] = a.water;
  }
}
// one node past the end, so that fraction 1 itself interpolates without a branch
LITRES_PER_KG[FRACTION_STEPS + 1] = LITRES_PER_KG[FRACTION_STEPS]!;
for (let node = 0; node < NODES_C; node++) {
  const end = node * ACTIVITY_STRIDE + FRACTION_STEPS * 2;
  ACTIVITY[end + 2] = ACTIVITY[end]!;
  ACTIVITY[end + 3] = ACTIVITY[end + 1]!;
}

/** Position in ACTIVITY of a temperature: offset of the node below, and the share of the next. */
export function temperatureNode(temperatureC: number): { offset: number; share: number } {
  const position = Math.min(
    NODES_C - 1.000001,
    Math.max(0, (temperatureC - FIRST_NODE_C) / NODE_STEP_C),
  );
  const node = Math.floor(position);
  return { offset: node * ACTIVITY_STRIDE, share: position - node };
}

/** Litres at 20 °C of a liquid, from the table; 0 for an empty cask. */
export function litresFromTable(ethanolKg: number, waterKg: number): number {
  const mass = ethanolKg + waterKg;
  if (!(mass > 0)) return 0;
  const position = (ethanolKg / mass) * FRACTION_STEPS;
  const i = position | 0;
  const below = LITRES_PER_KG[i]!;
  return mass * (below + (position - i) * (LITRES_PER_KG[i + 1]! - below));
}

/** density of pure ethanol at 20 °C, kg per litre */
export const ETHANOL_KG_PER_LITRE = densityKgPerM3(1, 20) / 1000;
/** density of water at 20 °C, kg per litre */
export const WATER_KG_PER_LITRE = densityKgPerM3(0, 20) / 1000;
