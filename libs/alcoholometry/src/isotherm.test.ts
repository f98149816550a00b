import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { densityOn, densitySlopeOn, isothermAt } from './isotherm.ts';

// The formula's own layout, OIML R 22 p. 12, summed power by power: slow, and independent of the collapse.
const A = [
  998.20123, -192.9769495, 389.1238958, -1668.103923, 13522.15441, -88292.78388, 306287.4042,
  -613838.1234, 747017.2998, -547846.1354, 223446.0334, -39032.85426,
];
const B = [-0.20618513, -0.0052682542, 3.6130013e-5, -3.8957702e-7, 7.169354e-9, -9.9739231e-11];
const C = [
  [
    0.1693443461530087, -10.46914743455169, 71.96353469546523, -704.7478054272792,
    3924.090430035045, -12101.64659068747, 22486.46550400788, -26055.62982188164, 18523.73922069467,
    -7420.201433430137, 1285.617841998974,
  ],
  [
    -0.0119301300505701, 0.2517399633803461, -2.170575700536993, 13.53034988843029,
    -50.29988758547014, 109.635566657757, -142.2753946421155, 108.043594285623, -44.14153236817392,
    7.442971530188783,
  ],
  [
    -0.0006802995733503803, 0.01876837790289664, -0.2002561813734156, 1.02299296671922,
    -2.895696483903638, 4.810060584300675, -4.672147440794683, 2.458043105903461,
    -0.5411227621436812,
  ],
  [4.075376675622027e-6, -8.76305857347111e-6, 6.515031360099368e-6, -1.51578483698721e-6],
  [-2.788074354782409e-8, 1.345612883493354e-8],
];

function powerSum(p: number, temperatureC: number): number {
  const T = temperatureC - 20;
  let rho = 0;
  for (const [k, a] of A.entries()) rho += a * p ** k;
  for (const [k, b] of B.entries()) rho += b * T ** (k + 1);
  for (const [i, row] of C.entries()) {
    for (const [k, c] of row.entries()) rho += c * p ** (k + 1) * T ** (i + 1);
  }
  return rho;
}

const massFraction = fc.double({ min: 0, max: 1, noNaN: true });
const temperature = fc.double({ min: -20, max: 40, noNaN: true });

describe('the collapsed formula', () => {
  it('has the digits of the plain sum of powers, to its rounding of 1e-9 kg/m³', () => {
    fc.assert(
      fc.property(massFraction, temperature, (p, t) => {
        expect(Math.abs(densityOn(isothermAt(t), p) - powerSum(p, t))).toBeLessThan(2e-9);
      }),
      { numRuns: 2000 },
    );
  });

  it('falls strictly with the mass fraction at every temperature, so each inverse is unique', () => {
    fc.assert(
      fc.property(massFraction, temperature, (p, t) => {
        // The least slope, at -20 °C and 19 % mass, is 6.03 kg/m³ per unit.
        expect(densitySlopeOn(isothermAt(t), p)).toBeLessThan(-6);
      }),
      { numRuns: 5000 },
    );
  });

  it('falls strictly on a close grid too, and steepest nowhere near flat', () => {
    let least = Infinity;
    for (let t = -20; t <= 40; t++) {
      const c = isothermAt(t);
      for (let i = 0; i <= 1000; i++) least = Math.min(least, -densitySlopeOn(c, i / 1000));
    }
    expect(least).toBeGreaterThan(6.02);
    expect(least).toBeLessThan(6.04);
  });

  it('has the slope that differences have', () => {
    fc.assert(
      fc.property(fc.double({ min: 0.001, max: 0.999, noNaN: true }), temperature, (p, t) => {
        const c = isothermAt(t);
        const h = 1e-5;
        const difference = (densityOn(c, p + h) - densityOn(c, p - h)) / (2 * h);
        expect(Math.abs(densitySlopeOn(c, p) - difference)).toBeLessThan(1e-4);
      }),
    );
  });
});
