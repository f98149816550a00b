/** Molar masses, kg/mol (IUPAC standard atomic weights). */
export const ETHANOL_KG_PER_MOL = 0.04606844;
export const WATER_KG_PER_MOL = 0.01801528;

/** Temperatures the formulas are used for, °C: cellars, and up to the boil for checking them. */
const FORMULA_C = { min: -40, max: 110 } as const;
/** Temperatures a store may have, °C. */
export const STORE_C = { min: -40, max: 60 } as const;

const ZERO_C_IN_K = 273.15;

function kelvin(temperatureC: number): number {
  if (!(temperatureC >= FORMULA_C.min && temperatureC <= FORMULA_C.max)) {
    throw new RangeError(
      `temperature ${String(temperatureC)} °C lies outside ${String(FORMULA_C.min)} to ${String(FORMULA_C.max)} °C; check the logger's unit`,
    );
  }
  return temperatureC + ZERO_C_IN_K;
}

/**
 * Saturation pressure of pure ethanol, Pa, at −40 to 110 °C.
 * Wagner form with the constants of Poling, Prausnitz & O'Connell, The Properties of Gases and
 * Liquids, 5th ed. (2001), appendix A.
 */
export function ethanolSaturationPa(temperatureC: number): number {
  const kelvins = kelvin(temperatureC);
  const criticalK = 513.92;
  const t = 1 - kelvins / criticalK;
  const s = Math.sqrt(t);
  const sum = -8.68587 * t + 1.17831 * t * s - 4.8762 * t * t * s + 1.588 * t ** 5;
  return 6132000 * Math.exp((sum * criticalK) / kelvins);
}

/**
 * Saturation pressure of liquid water, Pa, at −40 to 110 °C (below 0 °C: supercooled water, which is
 * what a hygrometer's "relative humidity" refers to).
 * IAPWS SR1-86(1992); Wagner & Pruss, J. Phys. Chem. Ref. Data 22 (1993) 783.
 */
export function waterSaturationPa(temperatureC: number): number {
  const kelvins = kelvin(temperatureC);
  const criticalK = 647.096;
  const v = 1 - kelvins / criticalK;
  const s = Math.sqrt(v);
  const v3 = v * v * v;
  const sum =
    -7.85951783 * v +
    1.84408259 * v * s -
    11.7866497 * v3 +
    22.6807411 * v3 * s -
    15.9618719 * v3 * v +
    1.80122502 * v3 * v3 * v * s;
  return 22064000 * Math.exp((sum * criticalK) / kelvins);
}

export interface Activities {
  /** x γ of ethanol: its partial pressure over that of the pure liquid */
  ethanol: number;
  /** x γ of water: the relative humidity, as a fraction, in balance with the liquid */
  water: number;
}

/**
 * NRTL for ethanol (1) and water (2). Parameters hold from cellar temperatures to the boil: mean
 * error 0.7 % in total pressure at 30 °C (data of Wichterle et al., Springer 2007), azeotrope at
 * x = 0.895. Parameter sets fitted to boiling data alone are 3–7 % off at cellar temperature.
 */
const NRTL = { a12: -0.8009, a21: 3.4578, b12: 246.18, b21: -586.0809, alpha: 0.3 } as const;

/**
 * Activities of ethanol and water in their mixture.
 * @param ethanolMoleFraction 0 to 1
 * @param temperatureC −40 to 110 °C
 * @throws RangeError outside these
 */
export function activities(ethanolMoleFraction: number, temperatureC: number): Activities {
  if (!(ethanolMoleFraction >= 0 && ethanolMoleFraction <= 1)) {
    throw new RangeError(
      `ethanol mole fraction ${String(ethanolMoleFraction)} lies outside 0 to 1`,
    );
  }
  const kelvins = kelvin(temperatureC);
  const x1 = ethanolMoleFraction;
  const x2 = 1 - x1;
  const t12 = NRTL.a12 + NRTL.b12 / kelvins;
  const t21 = NRTL.a21 + NRTL.b21 / kelvins;
  const g12 = Math.exp(-NRTL.alpha * t12);
  const g21 = Math.exp(-NRTL.alpha * t21);
  const d1 = x1 + x2 * g21;
  const d2 = x2 + x1 * g12;
  const ln1 = x2 * x2 * (t21 * (g21 / d1) ** 2 + (t12 * g12) / (d2 * d2));
  const ln2 = x1 * x1 * (t12 * (g12 / d2) ** 2 + (t21 * g21) / (d1 * d1));
  return { ethanol: x1 * Math.exp(ln1), water: x2 * Math.exp(ln2) };
}

/** Ethanol mole fraction of a liquid of given ethanol mass fraction. */
export function moleFractionFromMassFraction(massFraction: number): number {
  const e = massFraction / ETHANOL_KG_PER_MOL;
  return e / (e + (1 - massFraction) / WATER_KG_PER_MOL);
}

/**
 * Relative humidity, %, above which a cask of this strength takes in water from the air.
 * 96 % at 13 % vol, 88 % at 40, 80 % at 63.5 (15 °C).
 */
export function waterBalanceHumidityPercent(massFraction: number, temperatureC: number): number {
  return 100 * activities(moleFractionFromMassFraction(massFraction), temperatureC).water;
}
