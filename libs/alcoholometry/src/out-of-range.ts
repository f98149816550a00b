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
    const what = `${quantity} ${value} is outside ${allowed(range)}`;
    super(advice === '' ? what : `${what}: ${advice}`);
    this.quantity = quantity;
    this.value = value;
    this.min = range.min;
    this.max = range.max;
    this.unit = range.unit;
  }
}

function allowed({ min, max, unit }: Range): string {
  if (max < Number.MAX_VALUE) return `${min} to ${max} ${unit}`;
  return min > -Number.MAX_VALUE ? `${min} and above ${unit}` : `what is finite, ${unit}`;
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

/** Throws unless `value` is a finite number. */
export function requireFinite(quantity: string, value: number, unit: string): void {
  if (!Number.isFinite(value)) {
    const range = { min: -Number.MAX_VALUE, max: Number.MAX_VALUE, unit };
    throw new OutOfRangeError(quantity, value, range, 'it has to be a finite number');
  }
}
