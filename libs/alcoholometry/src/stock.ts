/**
 * The same quantities for a whole stock at once, over typed arrays. Each gives bit for bit what its scalar
 * twin gives; a temperature common to all, or repeated from one element to the next, is paid for once.
 */
import {
  ethanolDensity20C,
  ISOTHERM_20C,
  MASS_FRACTION_RANGE,
  STRENGTH_RANGE,
  TEMPERATURE_RANGE,
} from './density.ts';
import { densityFromGlassReading, SODA_LIME_GLASS_20C, type Glass } from './hydrometer.ts';
import { massFractionFromPartialDensity, massFractionOn } from './inverse.ts';
import { densityOn, isothermAt, isothermRoom, percentVolOn, type Isotherm } from './isotherm.ts';
import { OutOfRangeError, requireNotNegative, type Range } from './out-of-range.ts';
import { massFractionFromDensity } from './strength.ts';

/** One temperature for all, or one for each, °C. */
export type Temperatures = number | Float64Array;

function requireSameLength(what: string, length: number, expected: number): void {
  if (length !== expected) {
    throw new RangeError(`${what} has ${length} elements, but ${expected} are needed`);
  }
}

function requireEach(quantity: string, values: Float64Array, { min, max, unit }: Range): void {
  for (let i = 0; i < values.length; i++) {
    const value = values[i] as number;
    if (!(value >= min && value <= max)) {
      throw new OutOfRangeError(`${quantity} [${i}]`, value, { min, max, unit });
    }
  }
}

/** Isotherms element by element, collapsed again only where the temperature changes. */
function isotherms(temperatures: Temperatures, length: number): (i: number) => Isotherm {
  if (typeof temperatures === 'number') {
    requireEach('temperature', Float64Array.of(temperatures), TEMPERATURE_RANGE);
    const isotherm = isothermAt(temperatures);
    return () => isotherm;
  }
  requireSameLength('temperatures', temperatures.length, length);
  requireEach('temperature', temperatures, TEMPERATURE_RANGE);
  const place = isothermRoom();
  let last = NaN;
  return (i) => {
    const temperature = temperatures[i] as number;
    if (temperature !== last) {
      last = temperature;
      isothermAt(temperature, place);
    }
    return place;
  };
}

/**
 * Densities, kg/m³, of mixtures; twin of `densityKgPerM3`.
 *
 * @param out where the answers go; a new array by default
 * @throws OutOfRangeError naming the index; RangeError on arrays of different lengths
 */
export function densitiesKgPerM3(
  massFractions: Float64Array,
  temperaturesC: Temperatures,
  out = new Float64Array(massFractions.length),
): Float64Array {
  requireSameLength('out', out.length, massFractions.length);
  requireEach('mass fraction of ethanol', massFractions, MASS_FRACTION_RANGE);
  const isothermOf = isotherms(temperaturesC, massFractions.length);
  for (let i = 0; i < massFractions.length; i++) {
    out[i] = densityOn(isothermOf(i), massFractions[i] as number);
  }
  return out;
}

/** Mass fractions from strengths, % vol at 20 °C; twin of `massFractionFromStrength`. */
export function massFractionsFromStrengths(
  strengthsPercentVol: Float64Array,
  out = new Float64Array(strengthsPercentVol.length),
): Float64Array {
  requireSameLength('out', out.length, strengthsPercentVol.length);
  requireEach('strength', strengthsPercentVol, STRENGTH_RANGE);
  for (let i = 0; i < out.length; i++) {
    out[i] = massFractionFromPartialDensity(
      ISOTHERM_20C,
      ((strengthsPercentVol[i] as number) * ethanolDensity20C) / 100,
    );
  }
  return out;
}

/** Strengths, % vol at 20 °C, from mass fractions; twin of `strengthFromMassFraction`. */
export function strengthsFromMassFractions(
  massFractions: Float64Array,
  out = new Float64Array(massFractions.length),
): Float64Array {
  requireSameLength('out', out.length, massFractions.length);
  requireEach('mass fraction of ethanol', massFractions, MASS_FRACTION_RANGE);
  for (let i = 0; i < out.length; i++) {
    out[i] = percentVolOn(ISOTHERM_20C, ethanolDensity20C, massFractions[i] as number);
  }
  return out;
}

/** Mass fractions from true densities, kg/m³; twin of `massFractionFromDensity`. */
export function massFractionsFromDensities(
  densitiesKgPerM3: Float64Array,
  temperaturesC: Temperatures,
  out = new Float64Array(densitiesKgPerM3.length),
): Float64Array {
  requireSameLength('out', out.length, densitiesKgPerM3.length);
  const isothermOf = isotherms(temperaturesC, densitiesKgPerM3.length);
  for (let i = 0; i < out.length; i++) {
    const isotherm = isothermOf(i);
    const density = densitiesKgPerM3[i] as number;
    // The scalar twin words the refusal; it is only asked at the edges and beyond.
    out[i] =
      density < isotherm[0] && density > densityOn(isotherm, 1)
        ? massFractionOn(isotherm, density)
        : massFractionFromDensity(
            density,
            typeof temperaturesC === 'number' ? temperaturesC : (temperaturesC[i] as number),
          );
  }
  return out;
}

/** Strengths, % vol at 20 °C, from true densities, kg/m³; twin of `strengthFromDensity`. */
export function strengthsFromDensities(
  densitiesKgPerM3: Float64Array,
  temperaturesC: Temperatures,
  out = new Float64Array(densitiesKgPerM3.length),
): Float64Array {
  massFractionsFromDensities(densitiesKgPerM3, temperaturesC, out);
  return strengthsFromMassFractions(out, out);
}

/** Strengths at 20 °C from readings of a hydrometer graduated in % vol; twin of `strengthFromHydrometer`. */
export function strengthsFromHydrometer(
  readingsPercentVol: Float64Array,
  temperaturesC: Temperatures,
  glass: Glass = SODA_LIME_GLASS_20C,
  out = new Float64Array(readingsPercentVol.length),
): Float64Array {
  massFractionsFromStrengths(readingsPercentVol, out);
  densitiesKgPerM3(out, glass.referenceC, out);
  if (typeof temperaturesC !== 'number') {
    requireSameLength('temperatures', temperaturesC.length, out.length);
  }
  for (let i = 0; i < out.length; i++) {
    const temperature = typeof temperaturesC === 'number' ? temperaturesC : temperaturesC[i];
    out[i] = densityFromGlassReading(out[i] as number, temperature as number, glass);
  }
  return strengthsFromDensities(out, temperaturesC, out);
}

/** Litres at 20 °C of volumes read at their temperatures; twin of `litresAt20C`. */
export function stockLitresAt20C(
  litres: Float64Array,
  temperaturesC: Temperatures,
  strengthsPercentVol: Float64Array,
  out = new Float64Array(litres.length),
): Float64Array {
  requireSameLength('strengths', strengthsPercentVol.length, litres.length);
  requireEach('volume', litres, { min: 0, max: Number.MAX_VALUE, unit: 'L' });
  const isothermOf = isotherms(temperaturesC, litres.length);
  const massFractions = massFractionsFromStrengths(strengthsPercentVol);
  requireSameLength('out', out.length, litres.length);
  for (let i = 0; i < out.length; i++) {
    const p = massFractions[i] as number;
    out[i] = (litres[i] as number) * (densityOn(isothermOf(i), p) / densityOn(ISOTHERM_20C, p));
  }
  return out;
}

/** Masses of ethanol and water of a stock, element by element. */
export type StockMasses = { readonly ethanolKg: Float64Array; readonly waterKg: Float64Array };

/** Masses from volumes and strengths at 20 °C; twin of `liquidFromVolume`. */
export function stockMasses(
  bulkLitresAt20C: Float64Array,
  strengthsPercentVol: Float64Array,
): StockMasses {
  requireSameLength('strengths', strengthsPercentVol.length, bulkLitresAt20C.length);
  requireEach('volume at 20 °C', bulkLitresAt20C, { min: 0, max: Number.MAX_VALUE, unit: 'L' });
  const ethanolKg = massFractionsFromStrengths(strengthsPercentVol);
  const waterKg = new Float64Array(ethanolKg.length);
  for (let i = 0; i < ethanolKg.length; i++) {
    const p = ethanolKg[i] as number;
    const kg = ((bulkLitresAt20C[i] as number) * densityOn(ISOTHERM_20C, p)) / 1000;
    ethanolKg[i] = kg * p;
    waterKg[i] = kg * (1 - p);
  }
  return { ethanolKg, waterKg };
}

/** Volumes, strengths and pure alcohol of a stock, element by element. */
export type StockVolumes = {
  readonly bulkLitresAt20C: Float64Array;
  readonly strengthPercentVol: Float64Array;
  readonly litresPureAlcohol: Float64Array;
};

/** Volumes, strengths and litres of pure alcohol from masses; twin of `volumeOfLiquid`. */
export function stockVolumes({ ethanolKg, waterKg }: StockMasses): StockVolumes {
  const length = ethanolKg.length;
  requireSameLength('water', waterKg.length, length);
  const bulkLitresAt20C = new Float64Array(length);
  const strengthPercentVol = new Float64Array(length);
  const litresPureAlcohol = new Float64Array(length);
  for (let i = 0; i < length; i++) {
    const ethanol = ethanolKg[i] as number;
    const water = waterKg[i] as number;
    requireNotNegative(`ethanol [${i}]`, ethanol, 'kg');
    requireNotNegative(`water [${i}]`, water, 'kg');
    const kg = ethanol + water;
    if (kg === 0) continue;
    const p = ethanol / kg;
    const density = densityOn(ISOTHERM_20C, p);
    bulkLitresAt20C[i] = (1000 * kg) / density;
    strengthPercentVol[i] = Math.min(100, (100 * (p * density)) / ethanolDensity20C);
    litresPureAlcohol[i] = (1000 * ethanol) / ethanolDensity20C;
  }
  return { bulkLitresAt20C, strengthPercentVol, litresPureAlcohol };
}
