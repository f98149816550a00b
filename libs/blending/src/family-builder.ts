import { sharesByValue } from './attribute.ts';
import type { Blocks, Family } from './blend-model.ts';
import type { RowBuilder } from './row-builder.ts';
import type { Stock } from './stock.ts';

interface GrowingFamily {
  readonly attribute: string;
  readonly values: string[];
  readonly members: number[][];
  capped: boolean;
  floored: boolean;
  countRow: number;
}

/** Yes/no columns for the values of an attribute, made when a wish or an aim first needs them. */
export class FamilyBuilder {
  readonly #rows: RowBuilder;
  readonly #stock: Stock;
  readonly #blocks: Blocks;
  readonly #byAttribute = new Map<string, GrowingFamily>();

  constructor(rows: RowBuilder, stock: Stock, blocks: Blocks) {
    this.#rows = rows;
    this.#stock = stock;
    this.#blocks = blocks;
  }

  /** At least / at most so many values opened. */
  addCount(wishId: string, attribute: string, atLeast?: number, atMost?: number): void {
    const family = this.#family(attribute);
    if (family.countRow >= 0)
      throw new RangeError(`wish ${wishId}: ${attribute} is counted by another wish; join them`);
    family.countRow = this.#rows.addRow(wishId, atLeast ?? 0, atMost ?? Infinity);
    if (atMost !== undefined) family.capped = true;
    if (atLeast !== undefined) family.floored = true;
  }

  /** Index of the family whose opened values cost something. */
  addCost(attribute: string): number {
    const family = this.#family(attribute);
    family.capped = true;
    return [...this.#byAttribute.keys()].indexOf(attribute);
  }

  families(): Family[] {
    return [...this.#byAttribute.values()].map((family) => {
      const starts = new Int32Array(family.values.length + 1);
      family.members.forEach((list, v) => (starts[v + 1] = starts[v]! + list.length));
      return { ...family, starts, members: Int32Array.from(family.members.flat()) };
    });
  }

  #family(attribute: string): GrowingFamily {
    const known = this.#byAttribute.get(attribute);
    if (known) return known;
    const index = new Map<string, number>();
    const members: number[][] = [];
    for (let b = 0; b < this.#blocks.count; b++) {
      for (const [value] of sharesByValue(this.#stock.casks[this.#blocks.cask[b]!]!, attribute)) {
        let v = index.get(value);
        if (v === undefined) {
          v = members.length;
          index.set(value, v);
          members.push([]);
        }
        members[v]!.push(b);
      }
    }
    const family = {
      attribute,
      values: [...index.keys()],
      members,
      capped: false,
      floored: false,
      countRow: -1,
    };
    this.#byAttribute.set(attribute, family);
    return family;
  }
}
