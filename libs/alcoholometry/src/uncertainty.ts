import { OutOfRangeError, requireNotNegative } from './out-of-range.ts';

/** A reading and its standard uncertainty (k = 1), in the unit of the reading. */
export type Measured = { readonly value: number; readonly u: number };

/** Results of a model with their covariance, first order in the inputs' uncertainties. */
export type Propagated = {
  readonly values: readonly number[];
  /** Standard uncertainties (k = 1) of `values`. */
  readonly u: readonly number[];
  /** covariance[i][j] of values i and j. */
  readonly covariance: readonly (readonly number[])[];
  /** sensitivities[i][k]: slope of value i in input k. */
  readonly sensitivities: readonly (readonly number[])[];
};

/** Difference step as a share of an input's uncertainty: small against any curvature worth noticing. */
const STEP_PER_U = 1e-3;
/** Never less than this share of the value, lest the difference drown in rounding. */
const LEAST_STEP = 1e-6;

function tryModel(
  model: (inputs: readonly number[]) => readonly number[],
  inputs: readonly number[],
): readonly number[] | undefined {
  try {
    return model(inputs);
  } catch (error) {
    // The edge of the domain: the caller differences on the other side.
    if (error instanceof RangeError) return undefined;
    throw error;
  }
}

/**
 * First-order propagation of uncertainty through any model of several inputs and outputs.
 *
 * Sensitivities are central differences over a thousandth of each input's uncertainty; at the edge of a
 * model's domain, where one side throws a RangeError, the difference is taken on the other side only.
 *
 * @param inputs values with standard uncertainties; an uncertainty of 0 is an exact value
 * @param model returns the outputs for a set of input values
 * @param correlation correlation coefficient, -1 to 1, of inputs j and k (j < k). Default: independent.
 * @throws OutOfRangeError on a negative uncertainty; whatever the model throws at the values themselves
 * @see JCGM 100:2008 (GUM), 5.1.2 and 5.2.2; the numerical sensitivities are its 5.1.3, note 2.
 */
export function propagate(
  inputs: readonly Measured[],
  model: (inputs: readonly number[]) => readonly number[],
  correlation: (j: number, k: number) => number = () => 0,
): Propagated {
  const at = inputs.map(({ value }) => value);
  const values = model(at);
  const sensitivities: number[][] = values.map(() => []);
  for (const [k, input] of inputs.entries()) {
    requireNotNegative('standard uncertainty', input.u, '(unit of its reading)');
    const slopes = input.u === 0 ? values.map(() => 0) : slopesIn(k, at, input.u, values, model);
    for (const [i, slope] of slopes.entries()) sensitivities[i]?.push(slope);
  }
  const covariance = sensitivities.map((a) =>
    sensitivities.map((b) => covarianceOf(a, b, inputs, correlation)),
  );
  return {
    values,
    u: covariance.map((row, i) => Math.sqrt(Math.max(0, row[i] ?? 0))),
    covariance,
    sensitivities,
  };
}

function slopesIn(
  k: number,
  at: readonly number[],
  u: number,
  values: readonly number[],
  model: (inputs: readonly number[]) => readonly number[],
): number[] {
  const step = Math.max(u * STEP_PER_U, Math.abs(at[k] ?? 0) * LEAST_STEP);
  const above = at.with(k, (at[k] ?? 0) + step);
  const below = at.with(k, (at[k] ?? 0) - step);
  const high = tryModel(model, above);
  const low = tryModel(model, below);
  if (high === undefined && low === undefined) {
    throw new OutOfRangeError(
      `uncertainty of input ${k}`,
      u,
      { min: 0, max: 0, unit: '(unit of its reading)' },
      'the model holds on neither side of the value',
    );
  }
  // The step as it came out after rounding, not as it was asked for.
  const width = (high ? (above[k] ?? 0) : (at[k] ?? 0)) - (low ? (below[k] ?? 0) : (at[k] ?? 0));
  return values.map((value, i) => ((high?.[i] ?? value) - (low?.[i] ?? value)) / width);
}

function covarianceOf(
  a: readonly number[],
  b: readonly number[],
  inputs: readonly Measured[],
  correlation: (j: number, k: number) => number,
): number {
  let sum = 0;
  for (const [j, inputJ] of inputs.entries()) {
    for (const [k, inputK] of inputs.entries()) {
      const r = j === k ? 1 : correlation(Math.min(j, k), Math.max(j, k));
      if (r !== 0) sum += (a[j] ?? 0) * (b[k] ?? 0) * inputJ.u * inputK.u * r;
    }
  }
  return sum;
}
