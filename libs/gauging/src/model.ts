import type { Measured } from '@rundlet/alcoholometry';

/** Inputs of a measurement and the model that reads them in the same order. */
export type Model<Result> = {
  readonly inputs: readonly Measured[];
  readonly evaluate: (inputs: readonly number[]) => Result;
};

/** The i-th input; a model is only ever called with as many as it declared. */
export function nth(inputs: readonly number[], i: number): number {
  const value = inputs[i];
  if (value === undefined) throw new RangeError(`a measurement model lacks its input ${i}`);
  return value;
}
