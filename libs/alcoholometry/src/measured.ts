/**
 * The quantities of this library with their standard uncertainties: each takes measured inputs and gives a
 * measured answer, by {@link propagate}. Inputs are taken as independent unless a correlation is given.
 * For a sum or a function that is not here, call {@link propagate} with it.
 */
import { densityInAir, densityInVacuo } from './buoyancy.ts';
import { densityKgPerM3 } from './density.ts';
import { SODA_LIME_GLASS_20C, strengthFromHydrometer, type Glass } from './hydrometer.ts';
import { waterToReduce } from './reduction.ts';
import {
  densityFromStrength,
  massFractionFromStrength,
  strengthFromDensity,
  strengthFromMassFraction,
} from './strength.ts';
import { mixSpirits } from './topping.ts';
import { propagate, type Measured } from './uncertainty.ts';
import { litresAt20C, litresAtTemperature, litresPureAlcohol } from './volume.ts';

type Correlation = (j: number, k: number) => number;

function one(
  inputs: readonly Measured[],
  model: (...values: number[]) => number,
  correlation?: Correlation,
): Measured {
  const { values, u } = propagate(inputs, (x) => [model(...x)], correlation);
  return { value: values[0] ?? 0, u: u[0] ?? 0 };
}

/** Density, kg/m³, from mass fraction and temperature. */
export function measuredDensity(massFraction: Measured, temperatureC: Measured): Measured {
  return one([massFraction, temperatureC], densityKgPerM3);
}

/** Density, kg/m³, from strength and temperature. */
export function measuredDensityFromStrength(strength: Measured, temperatureC: Measured): Measured {
  return one([strength, temperatureC], densityFromStrength);
}

/** Strength, % vol, from true density and temperature. */
export function measuredStrengthFromDensity(density: Measured, temperatureC: Measured): Measured {
  return one([density, temperatureC], (rho, t) => strengthFromDensity(rho, t));
}

/** Strength, % vol, from the density in air and the air's density, kg/m³; weights of 8000 kg/m³. */
export function measuredStrengthFromDensityInAir(
  densityInAirKgPerM3: Measured,
  temperatureC: Measured,
  airDensityKgPerM3: Measured,
): Measured {
  return one([densityInAirKgPerM3, temperatureC, airDensityKgPerM3], (rho, t, air) =>
    strengthFromDensity(
      densityInVacuo(rho, { airDensityKgPerM3: air, weightsDensityKgPerM3: 8000 }),
      t,
    ),
  );
}

/** Density in air, kg/m³, from true density and the air's; weights of 8000 kg/m³. */
export function measuredDensityInAir(density: Measured, airDensityKgPerM3: Measured): Measured {
  return one([density, airDensityKgPerM3], (rho, air) =>
    densityInAir(rho, { airDensityKgPerM3: air, weightsDensityKgPerM3: 8000 }),
  );
}

/** Mass fraction from strength, % vol. */
export function measuredMassFraction(strength: Measured): Measured {
  return one([strength], massFractionFromStrength);
}

/** Strength, % vol, from mass fraction. */
export function measuredStrength(massFraction: Measured): Measured {
  return one([massFraction], strengthFromMassFraction);
}

/** Strength, % vol at 20 °C, from a hydrometer graduated in % vol. */
export function measuredStrengthFromHydrometer(
  readingPercentVol: Measured,
  temperatureC: Measured,
  obscurationPercentVol: Measured = { value: 0, u: 0 },
  glass: Glass = SODA_LIME_GLASS_20C,
): Measured {
  return one([readingPercentVol, temperatureC, obscurationPercentVol], (reading, t, obscuration) =>
    strengthFromHydrometer({
      readingPercentVol: reading,
      temperatureC: t,
      obscurationPercentVol: obscuration,
      glass,
    }),
  );
}

/** Litres at 20 °C from litres at a temperature. */
export function measuredLitresAt20C(
  litres: Measured,
  temperatureC: Measured,
  strength: Measured,
): Measured {
  return one([litres, temperatureC, strength], (v = 0, t = 0, q = 0) => litresAt20C(v, t, q));
}

/** Litres at a temperature from litres at 20 °C. */
export function measuredLitresAtTemperature(
  litres: Measured,
  temperatureC: Measured,
  strength: Measured,
): Measured {
  return one([litres, temperatureC, strength], (v = 0, t = 0, q = 0) =>
    litresAtTemperature(v, t, q),
  );
}

/** Litres of pure alcohol; `correlation` is that of bulk litres and strength, -1 to 1. */
export function measuredLitresPureAlcohol(
  bulkLitresAt20C: Measured,
  strength: Measured,
  correlation = 0,
): Measured {
  return one([bulkLitresAt20C, strength], litresPureAlcohol, () => correlation);
}

/** Water to reduce, kg, and the litres that result. */
export function measuredWaterToReduce(
  bulkLitresAt20C: Measured,
  strength: Measured,
  targetStrengthPercentVol: number,
): { waterKg: Measured; resultLitresAt20C: Measured } {
  const { values, u } = propagate([bulkLitresAt20C, strength], ([litres = 0, percentVol = 0]) => {
    const reduction = waterToReduce(
      { bulkLitresAt20C: litres, strengthPercentVol: percentVol },
      targetStrengthPercentVol,
    );
    return [reduction.waterKg, reduction.resultLitresAt20C];
  });
  return {
    waterKg: { value: values[0] ?? 0, u: u[0] ?? 0 },
    resultLitresAt20C: { value: values[1] ?? 0, u: u[1] ?? 0 },
  };
}

/** Volume, strength and pure alcohol of a mixture of measured spirits. */
export function measuredMixture(
  ...spirits: readonly {
    readonly bulkLitresAt20C: Measured;
    readonly strengthPercentVol: Measured;
  }[]
): { bulkLitresAt20C: Measured; strengthPercentVol: Measured; litresPureAlcohol: Measured } {
  const inputs = spirits.flatMap((s) => [s.bulkLitresAt20C, s.strengthPercentVol]);
  const { values, u } = propagate(inputs, (x) => {
    const mixture = mixSpirits(
      ...spirits.map((_, i) => ({
        bulkLitresAt20C: x[2 * i] ?? 0,
        strengthPercentVol: x[2 * i + 1] ?? 0,
      })),
    );
    return [mixture.bulkLitresAt20C, mixture.strengthPercentVol, mixture.litresPureAlcohol];
  });
  const measured = (i: number): Measured => ({ value: values[i] ?? 0, u: u[i] ?? 0 });
  return {
    bulkLitresAt20C: measured(0),
    strengthPercentVol: measured(1),
    litresPureAlcohol: measured(2),
  };
}
