/**
 * Partial pressures over ethanol and water at cellar temperature, for the demo's own small world. On purpose not the
 * equations of the maturation library: what it has to learn from should not have been made with its own formulas.
 */
export const ETHANOL_KG_PER_MOL = 0.046069;
export const WATER_KG_PER_MOL = 0.018015;

/** Saturation pressure of water, Pa: Magnus form, WMO-No. 8, Guide to Instruments and Methods of Observation, annex 4.B. */
export const waterSaturationPa = (temperatureC: number): number =>
  611.2 * Math.exp((17.62 * temperatureC) / (243.12 + temperatureC));

/** Saturation pressure of ethanol, Pa: Antoine equation, handbook constants (from memory), within 1 % from 0 to 40 °C. */
export const ethanolSaturationPa = (temperatureC: number): number =>
  133.322 * 10 ** (8.20417 - 1642.89 / (230.3 + temperatureC));

/** Van Laar, fitted to the partial pressures over ethanol and water at 25 °C (handbook table), within 1.5 %. */
const VAN_LAAR = { ethanol: 1.54, water: 0.93 };

/** Activities of ethanol and water by the mole fraction of ethanol, 0 to 1. */
export function activities(x: number): { ethanol: number; water: number } {
  const a = VAN_LAAR.ethanol * x;
  const b = VAN_LAAR.water * (1 - x);
  const sum = a + b;
  return {
    ethanol: x * Math.exp(VAN_LAAR.ethanol * (b / sum) ** 2),
    water: (1 - x) * Math.exp(VAN_LAAR.water * (a / sum) ** 2),
  };
}
