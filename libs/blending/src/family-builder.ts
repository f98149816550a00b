import { sharesByValue } from './attribute.ts';
import type { Blocks, Family } from './blend-model.ts';
import type { RowBuilder } from './row-builder.ts';
import type { Stock } from './stock.ts';

interface GrowingFamily {
  readonly attribute: string;
  readonly values: string[];
  readonly members: number[][];
  capped: boolean;
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

  /** At most so many values opened. */
  addCap(wishId: string, attribute: string, atMost: number): void {
    const family = this.#family(attribute);
    if (family.countRow >= 0)
      throw new RangeError(`wish ${wishId}: ${attribute} is counted by another wish; join them`);
    family.countRow = this.#rows.addRow(wishId, -Infinity, atMost);
    family.capped = true;
  }

  /** At least so many values opened: y_v ≤ Σ opened of v, Σ y ≥ atLeast. */
  addFloor(wishId: string, attribute: string, atLeast: number): void {
    if (atLeast === 0) return;
    const count = this.#rows.addRow(wishId, atLeast, Infinity);
    const { values, members } = this.#family(attribute);
    values.forEach((value, v) => {
      const y = this.#rows.addGlobal(`${attribute}=${value}`, 0, 1, true);
      const link = this.#rows.addRow(wishId, 0, Infinity);
      for (const block of members[v]!) this.#rows.perOpened(link, block, 1);
      this.#rows.perGlobal(link, y, -1);
      this.#rows.perGlobal(count, y, 1);
    });
  }

  /** Index of the family whose opened values cost something. */
  addCost(attribute: string): number {
    const family = this.#family(attribute);
    family.capped = true;
    return [...this.#byAttribute.values()]
      .filter((f) => f.capped)
      .findIndex((f) => f.attribute === attribute);
  }

  families(): Family[] {
    return [...this.#byAttribute.values()]
      .filter((family) => family.capped)
      .map((family) => {
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
      countRow: -1,
    };
    this.#byAttribute.set(attribute, family);
    return family;
  }
}
