import type { LinearModel } from '../solver.ts';

/**
 * What values the columns of a model may take: whole numbers, draws (nothing, a part between two
 * limits, or all), or any. Of a draw no yes/no column tells whether it is made: the search branches
 * on the gaps between what is allowed, which leaves one column a cask and no rows.
 */
export class AllowedValues {
  readonly #integer: Uint8Array | null;
  readonly #least: Float64Array | null;
  readonly #most: Float64Array | null;

  constructor({ integer, leastDraw, mostDraw }: LinearModel) {
    this.#integer = integer;
    this.#least = leastDraw ?? null;
    this.#most = mostDraw ?? null;
  }

  /** Whether a column may take some values only. */
  limits(column: number): boolean {
    return this.#integer?.[column] === 1 || this.#isDraw(column);
  }

  /** The nearest allowed value at or below. */
  below(column: number, value: number): number {
    if (!this.#isDraw(column)) return Math.floor(value);
    if (value >= 1) return 1;
    return value < this.#least![column]! ? 0 : Math.min(value, this.#most![column]!);
  }

  /** The nearest allowed value at or above. */
  above(column: number, value: number): number {
    if (!this.#isDraw(column)) return Math.ceil(value);
    if (value <= 0) return 0;
    return value > this.#most![column]! ? 1 : Math.max(value, this.#least![column]!);
  }

  nearest(column: number, value: number): number {
    if (!this.limits(column)) return value;
    const below = this.below(column, value);
    const above = this.above(column, value);
    return value - below <= above - value ? below : above;
  }

  /** How far a column must at least move from a bound that it rests on; 0 when it may move at will. */
  leastStep(column: number, bound: number, up: boolean): number {
    if (!this.#isDraw(column)) return 1;
    if (up && bound === 0) return this.#least![column]!;
    return !up && bound === 1 ? 1 - this.#most![column]! : 0;
  }

  #isDraw(column: number): boolean {
    return this.#most !== null && this.#most[column]! > 0;
  }
}
