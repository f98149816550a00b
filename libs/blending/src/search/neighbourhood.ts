import type { LinearModel } from '../solver.ts';
import { AllowedValues } from './allowed-values.ts';
import { linksOf } from './link-cuts.ts';

/**
 * Chooses which whole columns and draws of a model to set free around a plan, for a small search of its own.
 * Columns are likelier the less their reduced cost speaks against changing them; those where the
 * plan goes against its reduced cost are likeliest, since there something can be gained.
 */
export class Neighbourhoods {
  readonly #model: LinearModel;
  readonly #reduced: Float64Array;
  readonly #random: () => number;
  /** Yes/no column that each column depends on (a row of the store), −1 for none. */
  readonly #group: Int32Array;
  readonly #groups: number[];
  readonly #scale: number;
  readonly #keys: Float64Array;
  readonly #allowed: AllowedValues;

  constructor(model: LinearModel, reducedCosts: Float64Array, random: () => number) {
    this.#model = model;
    this.#allowed = new AllowedValues(model);
    this.#reduced = reducedCosts;
    this.#random = random;
    this.#group = new Int32Array(model.columnCount).fill(-1);
    for (const { x, y } of linksOf(model)) this.#group[x] = y;
    this.#groups = [...new Set(this.#group)].filter((y) => y >= 0);
    this.#keys = new Float64Array(model.columnCount);
    const sizes = [...reducedCosts.keys()]
      .filter((j) => this.#allowed.limits(j))
      .map((j) => Math.abs(reducedCosts[j]!))
      .sort((a, b) => a - b);
    this.#scale = Math.max(1e-9, sizes[Math.min(sizes.length - 1, 50)] ?? 1);
  }

  /**
   * Bounds that leave about `size` columns free and hold the rest at the plan's values. Continuous
   * columns and the yes/no columns of groups stay free.
   */
  around(plan: Float64Array, size: number): { lower: Float64Array; upper: Float64Array } {
    const model = this.#model;
    const lower = model.columnLower.slice();
    const upper = model.columnUpper.slice();
    const favoured = this.#favouredGroups(plan);
    const free: number[] = [];
    for (let j = 0; j < model.columnCount; j++) {
      if (lower[j] === upper[j] || !this.#allowed.limits(j)) continue;
      if (this.#groups.length > 0 && this.#isGroup(j)) continue;
      const d = this.#reduced[j]!;
      const against = plan[j]! > 0.5 ? d > 0 : d < 0;
      let weight = against ? this.#scale * 0.1 : Math.abs(d) + this.#scale * 0.2;
      if (favoured?.has(this.#group[j]!)) weight *= 0.15;
      this.#keys[j] = -weight * Math.log(1 - this.#random());
      free.push(j);
      const most = model.mostDraw?.[j] ?? 0;
      // A part of a cask stays a part, of any size.
      const isPart = plan[j]! > 0 && plan[j]! < 1 && most > 0;
      lower[j] = isPart ? Math.max(lower[j]!, model.leastDraw![j]!) : plan[j]!;
      upper[j] = isPart ? Math.min(upper[j]!, most) : plan[j]!;
    }
    free.sort((a, b) => this.#keys[a]! - this.#keys[b]!);
    for (const j of free.slice(0, size)) {
      lower[j] = model.columnLower[j]!;
      upper[j] = model.columnUpper[j]!;
    }
    return { lower, upper };
  }

  #isGroup(j: number): boolean {
    return this.#groups.includes(j);
  }

  /** Half of the time with groups: a few open and a few closed ones whose members are freed first. */
  #favouredGroups(plan: Float64Array): Set<number> | null {
    if (this.#groups.length === 0 || this.#random() < 0.5) return null;
    const favoured = new Set<number>();
    const draw = (from: readonly number[], count: number): void => {
      for (let k = 0; k < count && from.length > 0; k++)
        favoured.add(from[Math.floor(this.#random() * from.length)]!);
    };
    draw(
      this.#groups.filter((y) => plan[y]! > 0.5),
      2,
    );
    draw(
      this.#groups.filter((y) => plan[y]! <= 0.5),
      3,
    );
    return favoured;
  }
}
