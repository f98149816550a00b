/** One sum of the bench calculator, declared: what goes in, what comes out, and where the formula is from. */
export interface BenchInput {
  readonly label: string;
  readonly unit: string;
  readonly hint?: string;
  /** An empty field is passed on as null instead of holding the sum up. */
  readonly optional?: true;
}
export interface BenchFigure {
  readonly label: string;
  readonly value: number;
  readonly unit: string;
  readonly decimals?: number;
  /** Standard uncertainty (k = 1), where the readings' own are known. */
  readonly u?: number;
  readonly note?: string;
}
export interface BenchSum {
  readonly label: string;
  readonly inputs: Readonly<Record<string, BenchInput>>;
  readonly source: string;
  /** The answer; null while an input is missing. */
  readonly answer: (
    values: Readonly<Record<string, number | null>>,
  ) => { readonly figures: readonly BenchFigure[] } | { readonly message: string } | null;
}

type Values<I extends Record<string, BenchInput>> = {
  readonly [K in keyof I]: I[K] extends { optional: true } ? number | null : number;
};

/** Declares a sum; `work` is called once every input that is not optional is there, and may throw RangeError. */
export function benchSum<const I extends Record<string, BenchInput>>(sum: {
  readonly label: string;
  readonly inputs: I;
  readonly source: string;
  readonly work: (values: Values<I>) => readonly BenchFigure[];
}): BenchSum {
  const { label, inputs, source, work } = sum;
  const entries = Object.entries<BenchInput>(inputs);
  return {
    label,
    inputs,
    source,
    answer(values) {
      const given = entries.map(([key]) => [key, values[key] ?? null] as const);
      if (entries.some(([key, { optional }]) => !optional && (values[key] ?? null) === null))
        return null;
      try {
        return { figures: work(Object.fromEntries(given) as Values<I>) };
      } catch (error) {
        if (error instanceof RangeError) return { message: error.message };
        throw error;
      }
    },
  };
}

// Inputs that many sums ask for.
export const LITRES = { label: 'Spirit', unit: 'L at 20 °C' } as const;
export const STRENGTH = { label: 'Strength', unit: '% vol' } as const;
export const TEMPERATURE = { label: 'Temperature', unit: '°C' } as const;

// Figures that many sums give.
export const litres = (label: string, value: number): BenchFigure => ({
  label,
  value,
  unit: 'L at 20 °C',
  decimals: 2,
});
export const strength = (label: string, value: number): BenchFigure => ({
  label,
  value,
  unit: '% vol',
  decimals: 2,
});
export const pureAlcohol = (value: number): BenchFigure => ({
  label: 'Pure alcohol',
  value,
  unit: 'LPA',
  decimals: 2,
});
export const kilograms = (label: string, value: number): BenchFigure => ({
  label,
  value,
  unit: 'kg',
  decimals: 2,
});
export const contraction = (value: number): BenchFigure => ({
  label: 'Contraction',
  value,
  unit: 'L',
  decimals: 2,
  note: 'volumes do not add',
});
