import { expect, test } from 'vitest';
import { activities, ethanolSaturationPa, waterSaturationPa } from './vapour.ts';

const TORR = 133.322;

/** Partial pressures over ethanol and water at 25 °C, torr (handbook table after Dobson, J. Chem. Soc. 1925; attribution from memory). */
test.each([
  { x: 0.1, ethanol: 17.65, water: 21.7 },
  { x: 0.5, ethanol: 36.86, water: 17.29 },
  { x: 0.9, ethanol: 53.45, water: 5.38 },
])(
  'partial pressures at ethanol mole fraction $x are within 2 % of the measured',
  ({ x, ethanol, water }) => {
    const a = activities(x);
    expect(Math.abs((a.ethanol * ethanolSaturationPa(25)) / (ethanol * TORR) - 1)).toBeLessThan(
      0.02,
    );
    expect(Math.abs((a.water * waterSaturationPa(25)) / (water * TORR) - 1)).toBeLessThan(0.02);
  },
);

test('pure vapour pressures are those of the tables', () => {
  // IAPWS SR1-86 (1992): 1228.1 Pa at 10 °C, 3169.8 Pa at 25 °C.
  expect(Math.abs(waterSaturationPa(10) / 1228.1 - 1)).toBeLessThan(0.005);
  expect(Math.abs(waterSaturationPa(25) / 3169.8 - 1)).toBeLessThan(0.005);
  // Measured vapour pressure of ethanol, Wichterle et al., Vapor-Liquid Equilibrium in Mixtures and Solutions (2007): 10.472 kPa at 30 °C.
  expect(Math.abs(ethanolSaturationPa(30) / 10472 - 1)).toBeLessThan(0.01);
});
