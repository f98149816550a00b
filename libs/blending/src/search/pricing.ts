import type { HeldLevel } from '../assemble.ts';
import type { BlendModel, Level } from '../blend-model.ts';

/** What the multipliers of the rows say about every block, and about the whole. */
export interface Prices {
  /**
   * For each block the least that drawing it adds, net of what it is worth by the multipliers: below
   * 0 it is worth drawing.
   */
  readonly worth: Float64Array;
  /** For each value of each capped family what opening it adds, its members' gains counted. */
  readonly opening: readonly Float64Array[];
  /** No plan is better. Holds for any multipliers, whoever they come from. */
  readonly bound: number;
}

/**
 * Lagrangian pricing: rows are charged by multipliers, and what is left falls apart into blocks and
 * values that can be decided one by one. Everything is recomputed from the model in a few
 * milliseconds for 100,000 casks, so neither a solver's status nor its tolerances are relied on.
 */
export class Pricing {
  readonly #model: BlendModel;
  readonly #level: Level;
  readonly #held: readonly HeldLevel[];
  /** Number of the value, counted through all capped families, that a block is charged to; or −1. */
  readonly #home: Int32Array;
  readonly #firstValue: readonly number[];
  readonly #valueCount: number;

  constructor(model: BlendModel, level: Level, held: readonly HeldLevel[]) {
    this.#model = model;
    this.#level = level;
    this.#held = held;
    this.#home = new Int32Array(model.blocks.count).fill(-1);
    const first: number[] = [];
    let count = 0;
    for (const family of model.families) {
      first.push(count);
      if (family.kind !== 'cap') continue;
      for (let v = 0; v < family.values.length; v++)
        for (let e = family.starts[v]!; e < family.starts[v + 1]!; e++) {
          const block = family.members[e]!;
          // A block of several values is charged to the first: the other links are let go.
          if (this.#home[block] === -1) this.#home[block] = count + v;
        }
      count += family.values.length;
    }
    this.#firstValue = first;
    this.#valueCount = count;
  }

  /** @param multipliers of the model's rows, then of the held levels; ∂value/∂limit */
  prices(multipliers: Float64Array): Prices {
    const { rows, blocks, globals, families } = this.#model;
    const rowCount = rows.lower.length;
    const u = multipliers.slice();
    let bound = 0;
    for (let i = 0; i < rowCount + this.#held.length; i++) {
      const most = i < rowCount ? rows.upper[i]! : this.#held[i - rowCount]!.most;
      const limit = u[i]! > 0 ? (i < rowCount ? rows.lower[i]! : -Infinity) : most;
      // A multiplier that asks for a limit the row does not have counts as 0: still valid.
      if (!Number.isFinite(limit)) u[i] = 0;
      else bound += u[i]! * limit;
    }
    globals.forEach((column, g) => {
      let d = this.#level.perGlobal[g] ?? 0;
      for (const [row, value] of column.entries) d -= u[row]! * value;
      this.#held.forEach((held, h) => (d -= u[rowCount + h]! * (held.level.perGlobal[g] ?? 0)));
      const limit = d > 0 ? column.lower : column.upper;
      // Without a limit there is nothing to multiply rounding with: it counts as none.
      if (Number.isFinite(limit)) bound += d * limit;
      else if (Math.abs(d) > 1e-7 * Math.max(1, Math.abs(this.#level.perGlobal[g] ?? 0)))
        bound = -Infinity;
    });
    const worth = this.#worth(u);
    const gains = new Float64Array(this.#valueCount);
    for (let b = 0; b < blocks.count; b++) {
      const w = blocks.mustOpen[b] === 1 ? worth[b]! : Math.min(0, worth[b]!);
      const home = this.#home[b]!;
      if (home < 0 || blocks.mustOpen[b] === 1) bound += w;
      else gains[home]! += w;
    }
    const opening = families.map((family, f) => {
      let own = this.#level.perValue[f] ?? 0;
      if (family.countRow >= 0) own -= u[family.countRow]!;
      this.#held.forEach((held, h) => (own -= u[rowCount + h]! * (held.level.perValue[f] ?? 0)));
      if (family.kind === 'floor') {
        bound += Math.min(0, own) * family.values.length;
        return new Float64Array(0);
      }
      const first = this.#firstValue[f]!;
      return gains.slice(first, first + family.values.length).map((gain) => {
        bound += Math.min(0, own + gain);
        return own + gain;
      });
    });
    return { worth, opening, bound };
  }

  /** Number of the capped value that a block is charged to, as [family, value]; null for none. */
  homeOf(block: number): readonly [family: number, value: number] | null {
    const home = this.#home[block]!;
    if (home < 0) return null;
    for (let f = this.#model.families.length - 1; f >= 0; f--) {
      const family = this.#model.families[f]!;
      if (family.kind === 'cap' && home >= this.#firstValue[f]!)
        return [f, home - this.#firstValue[f]!];
    }
    return null;
  }

  #worth(u: Float64Array): Float64Array {
    const { blocks, perFraction, perOpened, partCountRow, rows } = this.#model;
    const level = this.#level;
    const rowCount = rows.lower.length;
    const onPart = partCountRow >= 0 ? -u[partCountRow]! : 0;
    // Costs with the held levels charged.
    const costOf = (pick: (l: Level) => Float64Array): Float64Array => {
      if (this.#held.every((_, h) => u[rowCount + h] === 0)) return pick(level);
      const costs = pick(level).slice();
      this.#held.forEach((held, h) => {
        const by = u[rowCount + h]!;
        const held1 = pick(held.level);
        if (by !== 0) for (let b = 0; b < costs.length; b++) costs[b]! -= by * held1[b]!;
      });
      return costs;
    };
    const costF = costOf((l) => l.perFraction);
    const costO = costOf((l) => l.perOpened);
    let heelCost = level.perHeelLitre;
    this.#held.forEach((held, h) => (heelCost -= u[rowCount + h]! * held.level.perHeelLitre));
    const worth = new Float64Array(blocks.count);
    for (let b = 0; b < blocks.count; b++) {
      let f = costF[b]!;
      for (let e = perFraction.starts[b]!; e < perFraction.starts[b + 1]!; e++)
        f -= u[perFraction.rows[e]!]! * perFraction.values[e]!;
      let o = costO[b]!;
      for (let e = perOpened.starts[b]!; e < perOpened.starts[b + 1]!; e++)
        o -= u[perOpened.rows[e]!]! * perOpened.values[e]!;
      let best = blocks.whole[b] === 1 ? f + o : Infinity;
      if (blocks.part[b] === 1) {
        const heel = heelCost * blocks.litres[b]!;
        const slope = f - heel;
        const at = slope > 0 ? blocks.leastPart[b]! : blocks.mostPart[b]!;
        best = Math.min(best, o + onPart + heel + slope * at);
      }
      worth[b] = best;
    }
    return worth;
  }
}
