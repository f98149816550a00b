/** A closed interval a quantity has to lie in, with its unit. */
export type Range = { readonly min: number; readonly max: number; readonly unit: string };

/**
 * Thrown when an argument lies outside what a formula was made for. It carries the value, the range
 * and the unit, so that a caller can show them at the field where the value was typed.
 */
export class OutOfRangeError extends RangeError {
  override readonly name = 'OutOfRangeError';
  readonly quantity: string;
  readonly value: number;
  readonly min: number;
  readonly max: number;
  readonly unit: string;

  constructor(quantity: string, value: number, range: Range, advice = '') {
    const open = range.max >= Number.MAX_VALUE;
    const allowed = open ? `${range.min} and above` : `${range.min} to ${range.max}`;
    const what = `${quantity} ${value} is outside ${allowed} ${range.unit}`;
    super(advice === '' ? what : `${what}: ${advice}`);
    this.quantity = quantity;
    this.value = value;
    this.min = range.min;
    this.max = range.max;
    this.unit = range.unit;
  }
}

/** Throws unless `min <= value <= max`; NaN never passes. */
export function requireWithin(quantity: string, value: number, range: Range, advice = ''): void {
  if (!(value >= range.min && value <= range.max)) {
    throw new OutOfRangeError(quantity, value, range, advice);
  }
}

/** Throws unless `value` is finite and not negative. */
export function requireNotNegative(quantity: string, value: number, unit: string): void {
  if (!(value >= 0 && value < Infinity)) {
    throw new OutOfRangeError(quantity, value, { min: 0, max: Number.MAX_VALUE, unit });
  }
}
