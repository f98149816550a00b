import { sharesByValue } from './attribute.ts';
import type { Blocks, Family } from './blend-model.ts';
import type { RowBuilder } from './row-builder.ts';
import type { Stock } from './stock.ts';

interface GrowingFamily {
  readonly kind: Family['kind'];
  readonly attribute: string;
  readonly members: Members;
  countRow: number;
}

interface Members {
  readonly values: readonly string[];
  readonly starts: Int32Array;
  readonly members: Int32Array;
}

/** Yes/no columns for the values of an attribute, made when a wish or an aim first needs them. */
export class FamilyBuilder {
  readonly #rows: RowBuilder;
  readonly #stock: Stock;
  readonly #blocks: Blocks;
  readonly #membersOf = new Map<string, Members>();
  readonly #families: GrowingFamily[] = [];

  constructor(rows: RowBuilder, stock: Stock, blocks: Blocks) {
    this.#rows = rows;
    this.#stock = stock;
    this.#blocks = blocks;
  }

  /** At most so many values opened. */
  addCap(wishId: string, attribute: string, atMost: number): void {
    const family = this.#family('cap', attribute);
    const { countRow } = family;
    if (countRow >= 0)
      throw new RangeError(`wish ${wishId}: ${attribute} is counted by another wish; join them`);
    family.countRow = this.#rows.addRow(wishId, -Infinity, atMost);
  }

  /** At least so many values opened. */
  addFloor(wishId: string, attribute: string, atLeast: number): void {
    if (atLeast <= 0) return;
    const family = this.#family('floor', attribute);
    if (family.countRow >= 0)
      throw new RangeError(`wish ${wishId}: ${attribute} is counted by another wish; join them`);
    family.countRow = this.#rows.addRow(wishId, atLeast, Infinity);
  }

  /** Index of the family whose opened values cost something. */
  addCost(attribute: string): number {
    return this.#families.indexOf(this.#family('cap', attribute));
  }

  families(): Family[] {
    return this.#families.map(({ kind, attribute, members, countRow }) => ({
      kind,
      attribute,
      countRow,
      ...members,
    }));
  }

  #family(kind: Family['kind'], attribute: string): GrowingFamily {
    const known = this.#families.find((f) => f.kind === kind && f.attribute === attribute);
    if (known) return known;
    const family = { kind, attribute, members: this.#members(attribute), countRow: -1 };
    this.#families.push(family);
    return family;
  }

  #members(attribute: string): Members {
    const known = this.#membersOf.get(attribute);
    if (known) return known;
    const index = new Map<string, number>();
    const lists: number[][] = [];
    for (let b = 0; b < this.#blocks.count; b++) {
      for (const [value] of sharesByValue(this.#stock.casks[this.#blocks.cask[b]!]!, attribute)) {
        let v = index.get(value);
        if (v === undefined) {
          v = lists.length;
          index.set(value, v);
          lists.push([]);
        }
        lists[v]!.push(b);
      }
    }
    const starts = new Int32Array(lists.length + 1);
    lists.forEach((list, v) => (starts[v + 1] = starts[v]! + list.length));
    const found = { values: [...index.keys()], starts, members: Int32Array.from(lists.flat()) };
    this.#membersOf.set(attribute, found);
    return found;
  }
}
