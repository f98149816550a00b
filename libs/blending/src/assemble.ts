import type { BlendModel, Family, Level } from './blend-model.ts';
import type { LinearModel } from './solver.ts';

/** Which blocks a solver gets to decide. Those not free are drawn whole or left alone. */
export interface Selection {
  readonly free: ArrayLike<number>;
  readonly drawnWhole: ArrayLike<number>;
}

/** An earlier level that must not get worse. */
export interface HeldLevel {
  readonly level: Level;
  readonly most: number;
}

/** A solver's model together with where the blocks went. */
export interface AssembledModel {
  readonly model: LinearModel;
  /** For each free block: its whole, part-fraction and part-opened columns, −1 where it has none. */
  readonly wholeColumn: Int32Array;
  readonly fractionColumn: Int32Array;
  readonly openedColumn: Int32Array;
  readonly free: Int32Array;
  readonly globalColumn: Int32Array;
  /** The yes/no columns of values that have one. */
  readonly valueColumns: readonly ValueColumn[];
  /** Cost of the blocks that are fixed. */
  readonly offset: number;
}

export interface ValueColumn {
  readonly family: number;
  readonly value: number;
  readonly column: number;
}

export interface AssembleOptions {
  readonly integer: boolean;
  readonly held?: readonly HeldLevel[];
  /** One row x ≤ y for each member instead of one for the whole group. */
  readonly separateLinks?: boolean;
  /** Values of capped families that are opened in any case. */
  readonly isOpened?: (family: number, value: number) => boolean;
  /**
   * For a search that branches on the gaps in what may be drawn: one column for each cask that may be drawn
   * in part, without yes/no columns and rows, where nothing but the amount counts.
   */
  readonly asDraws?: boolean;
}

export function wholeStock(model: BlendModel): Selection {
  return { free: Int32Array.from({ length: model.blocks.count }, (_, b) => b), drawnWhole: [] };
}

/** Hands a part of the model over in the form a solver takes. */
export function assemble(
  model: BlendModel,
  level: Level,
  selection: Selection,
  options: AssembleOptions,
): AssembledModel {
  const draft = new ModelDraft(model, level, selection, options);
  return draft.assembled();
}

class ModelDraft {
  readonly #model: BlendModel;
  readonly #level: Level;
  readonly #options: AssembleOptions;
  readonly #free: Int32Array;
  readonly #fixed: ArrayLike<number>;
  readonly #held: readonly HeldLevel[];
  readonly #lower: number[];
  readonly #upper: number[];
  readonly #cost: number[] = [];
  readonly #columnLower: number[] = [];
  readonly #columnUpper: number[] = [];
  readonly #integer: number[] = [];
  readonly #starts: number[] = [0];
  readonly #indices: number[] = [];
  readonly #values: number[] = [];
  /** Rows after the model's own and the held levels: links and part rows, by block or value. */
  readonly #blockRows = new Map<number, [row: number, column: 'x' | 'f' | 'z', value: number][]>();
  readonly #leastDraw: number[] = [];
  readonly #mostDraw: number[] = [];
  /** Blocks that belong to a value of some family. */
  readonly #linked: Uint8Array;
  readonly #valueColumns: ValueColumn[] = [];
  #offset = 0;

  constructor(model: BlendModel, level: Level, selection: Selection, options: AssembleOptions) {
    this.#model = model;
    this.#level = level;
    this.#options = options;
    this.#free = Int32Array.from(selection.free);
    this.#fixed = selection.drawnWhole;
    this.#held = options.held ?? [];
    this.#lower = [...model.rows.lower];
    this.#upper = [...model.rows.upper];
    this.#linked = linkedBlocks(model);
    for (const held of this.#held) {
      this.#lower.push(-Infinity);
      this.#upper.push(held.most);
    }
  }

  assembled(): AssembledModel {
    this.#drawFixedBlocks();
    const valueColumns = this.#addLinks();
    this.#addPartRows();
    const whole = new Int32Array(this.#free.length).fill(-1);
    const fraction = new Int32Array(this.#free.length).fill(-1);
    const opened = new Int32Array(this.#free.length).fill(-1);
    this.#free.forEach((block, k) => {
      const { blocks } = this.#model;
      const must = blocks.mustOpen[block] === 1;
      if (this.#isDraw(block)) {
        const most = blocks.whole[block] ? 1 : blocks.mostPart[block]!;
        const least = this.#leastDrawn(block);
        fraction[k] = this.#addBlockColumn(block, 'f', must ? least : 0, most, false);
        this.#leastDraw[fraction[k]] = least;
        this.#mostDraw[fraction[k]] = blocks.mostPart[block]!;
        return;
      }
      if (this.#hasWhole(block))
        whole[k] = this.#addBlockColumn(block, 'x', must && !blocks.part[block] ? 1 : 0, 1, true);
      if (blocks.part[block]) {
        fraction[k] = this.#addBlockColumn(block, 'f', 0, blocks.mostPart[block]!, false);
        if (!this.#needsOpened(block)) return;
        opened[k] = this.#addBlockColumn(block, 'z', must && !blocks.whole[block] ? 1 : 0, 1, true);
      }
    });
    const globals = new Int32Array(this.#model.globals.length);
    this.#model.globals.forEach((column, g) => {
      globals[g] = this.#addColumn(
        this.#level.perGlobal[g] ?? 0,
        column.lower,
        column.upper,
        column.integer,
      );
      for (const [row, value] of column.entries) this.#entry(row, value);
      this.#held.forEach((held, h) =>
        this.#entry(this.#model.rows.lower.length + h, held.level.perGlobal[g] ?? 0),
      );
      this.#closeColumn();
    });
    for (const add of valueColumns) add();
    return {
      model: {
        columnCount: this.#cost.length,
        rowCount: this.#lower.length,
        columnCost: Float64Array.from(this.#cost),
        columnLower: Float64Array.from(this.#columnLower),
        columnUpper: Float64Array.from(this.#columnUpper),
        rowLower: Float64Array.from(this.#lower),
        rowUpper: Float64Array.from(this.#upper),
        starts: Int32Array.from(this.#starts),
        indices: Int32Array.from(this.#indices),
        values: Float64Array.from(this.#values),
        integer: this.#options.integer ? Uint8Array.from(this.#integer) : null,
        ...(this.#mostDraw.length > 0 && {
          leastDraw: filled(this.#leastDraw, this.#cost.length),
          mostDraw: filled(this.#mostDraw, this.#cost.length),
        }),
      },
      wholeColumn: whole,
      fractionColumn: fraction,
      openedColumn: opened,
      free: this.#free,
      globalColumn: globals,
      valueColumns: this.#valueColumns,
      offset: this.#offset,
    };
  }

  /** Takes what fixed blocks contribute off the row limits. */
  #drawFixedBlocks(): void {
    const { perFraction, perOpened } = this.#model;
    for (let k = 0; k < this.#fixed.length; k++) {
      const block = this.#fixed[k]!;
      for (const columns of [perFraction, perOpened])
        for (let e = columns.starts[block]!; e < columns.starts[block + 1]!; e++)
          this.#shift(columns.rows[e]!, columns.values[e]!);
      this.#held.forEach((held, h) =>
        this.#shift(
          this.#model.rows.lower.length + h,
          held.level.perFraction[block]! + held.level.perOpened[block]!,
        ),
      );
      this.#offset += this.#level.perFraction[block]! + this.#level.perOpened[block]!;
    }
  }

  #shift(row: number, value: number): void {
    this.#lower[row]! -= value;
    this.#upper[row]! -= value;
  }

  /**
   * Links blocks to the yes/no columns of their values. Values without any free or fixed member get
   * no column. Returns what adds the columns, since they come last.
   */
  #addLinks(): (() => void)[] {
    const adders: (() => void)[] = [];
    if (this.#model.families.length === 0) return adders;
    const FREE = 1;
    const DRAWN = 2;
    const state = new Uint8Array(this.#model.blocks.count);
    for (const block of this.#free) state[block] = FREE;
    for (let k = 0; k < this.#fixed.length; k++) state[this.#fixed[k]!] = DRAWN;
    this.#model.families.forEach((family, familyIndex) => {
      for (let v = 0; v < family.values.length; v++) {
        const members: number[] = [];
        let certain = false;
        for (let e = family.starts[v]!; e < family.starts[v + 1]!; e++) {
          const block = family.members[e]!;
          if (state[block] === DRAWN) certain = true;
          else if (state[block] === FREE) members.push(block);
        }
        if (!certain && members.length === 0) continue;
        const entries = this.#linkRows(family.kind, members, certain);
        adders.push(() => {
          const opened =
            family.kind === 'cap' && (certain || this.#options.isOpened?.(familyIndex, v) === true);
          const cost = this.#level.perValue[familyIndex] ?? 0;
          const column = this.#addColumn(cost, opened ? 1 : 0, 1, true);
          this.#valueColumns.push({ family: familyIndex, value: v, column });
          if (family.countRow >= 0) this.#entry(family.countRow, 1);
          for (const [row, value] of entries) this.#entry(row, value);
          this.#held.forEach((held, h) =>
            this.#entry(this.#model.rows.lower.length + h, held.level.perValue[familyIndex] ?? 0),
          );
          this.#closeColumn();
        });
      }
    });
    return adders;
  }

  #linkRows(kind: Family['kind'], members: number[], certain: boolean): [number, number][] {
    const entries: [number, number][] = [];
    if (certain) return entries;
    const link = (blocks: number[], lower: number, upper: number, onY: number): void => {
      const row = this.#addRow(lower, upper);
      for (const block of blocks)
        if (this.#isDraw(block))
          // y ≤ Σ drawn of the value: any draw at all must count for one.
          this.#blockRow(block, row, 'f', kind === 'floor' ? 1 / this.#leastDrawn(block) : 1);
        else {
          this.#blockRow(block, row, 'x', 1);
          this.#blockRow(block, row, 'z', 1);
        }
      entries.push([row, onY]);
    };
    if (kind === 'floor') link(members, 0, Infinity, -1);
    else if (this.#options.separateLinks) for (const m of members) link([m], -Infinity, 0, -1);
    else link(members, -Infinity, 0, -members.length);
    return entries;
  }

  /**
   * Part draws need a yes/no column only where something hangs on their being opened: a least
   * amount, a count, a cost, a row of the store. Otherwise the fraction says it all.
   */
  #needsOpened(block: number): boolean {
    const { blocks } = this.#model;
    return (
      blocks.leastPart[block]! > 0 ||
      blocks.mustOpen[block] === 1 ||
      this.#linked[block] === 1 ||
      this.#countsOpened(block)
    );
  }

  /** Whether more than the amount counts: that the cask is opened, or drawn in part. */
  #countsOpened(block: number): boolean {
    const { perOpened, partCountRow } = this.#model;
    return (
      partCountRow >= 0 ||
      perOpened.starts[block]! < perOpened.starts[block + 1]! ||
      [this.#level, ...this.#held.map((held) => held.level)].some(
        (level) => level.perOpened[block] !== 0 || level.perHeelLitre !== 0,
      )
    );
  }

  #isDraw(block: number): boolean {
    const { blocks } = this.#model;
    return this.#options.asDraws === true && blocks.part[block] === 1 && !this.#countsOpened(block);
  }

  /** Opened and nothing drawn would be no draw at all: a litre at least. */
  #leastDrawn(block: number): number {
    const { leastPart, mostPart, litres } = this.#model.blocks;
    return this.#needsOpened(block)
      ? Math.max(leastPart[block]!, Math.min(mostPart[block]!, 1 / litres[block]!))
      : 0;
  }

  /** A cask whose part draw may go up to all of it needs no column of its own for the whole. */
  #hasWhole(block: number): boolean {
    const { blocks } = this.#model;
    if (!blocks.whole[block]) return false;
    return !blocks.part[block] || blocks.mostPart[block]! < 1 || this.#needsOpened(block);
  }

  /** least·z ≤ f ≤ most·z, and whole or part but not both. */
  #addPartRows(): void {
    const { blocks } = this.#model;
    for (const block of this.#free) {
      if (!blocks.part[block] || this.#isDraw(block)) continue;
      const most = blocks.mostPart[block]!;
      if (!this.#needsOpened(block)) {
        if (!this.#hasWhole(block)) continue;
        const either = this.#addRow(-Infinity, 1);
        this.#blockRow(block, either, 'x', 1);
        this.#blockRow(block, either, 'f', 1 / most);
        continue;
      }
      const upper = this.#addRow(-Infinity, 0);
      this.#blockRow(block, upper, 'f', 1);
      this.#blockRow(block, upper, 'z', -most);
      const least = this.#leastDrawn(block);
      const lower = this.#addRow(0, Infinity);
      this.#blockRow(block, lower, 'f', 1);
      this.#blockRow(block, lower, 'z', -least);
      if (blocks.whole[block]) {
        const one = this.#addRow(blocks.mustOpen[block] ? 1 : 0, 1);
        this.#blockRow(block, one, 'x', 1);
        this.#blockRow(block, one, 'z', 1);
      }
    }
  }

  #addBlockColumn(
    block: number,
    kind: 'x' | 'f' | 'z',
    lower: number,
    upper: number,
    integer: boolean,
  ): number {
    const { perFraction, perOpened, partCountRow, blocks } = this.#model;
    const column = this.#addColumn(
      blockCost(this.#level, block, kind, blocks.litres[block]!),
      lower,
      upper,
      integer,
    );
    const merged = new Map<number, number>();
    const add = (row: number, value: number): void => {
      merged.set(row, (merged.get(row) ?? 0) + value);
    };
    for (const [columns, has] of [
      [perFraction, kind !== 'z'],
      [perOpened, kind !== 'f'],
    ] as const) {
      if (!has) continue;
      for (let e = columns.starts[block]!; e < columns.starts[block + 1]!; e++)
        add(columns.rows[e]!, columns.values[e]!);
    }
    if (kind === 'z' && partCountRow >= 0) add(partCountRow, 1);
    this.#held.forEach((held, h) => {
      add(
        this.#model.rows.lower.length + h,
        blockCost(held.level, block, kind, blocks.litres[block]!),
      );
    });
    for (const [row, value] of merged) this.#entry(row, value);
    for (const [row, of, value] of this.#blockRows.get(block) ?? [])
      if (of === kind) this.#entry(row, value);
    this.#closeColumn();
    return column;
  }

  #blockRow(block: number, row: number, column: 'x' | 'f' | 'z', value: number): void {
    const list = this.#blockRows.get(block);
    if (list) list.push([row, column, value]);
    else this.#blockRows.set(block, [[row, column, value]]);
  }

  #addRow(lower: number, upper: number): number {
    this.#lower.push(lower);
    this.#upper.push(upper);
    return this.#lower.length - 1;
  }

  #addColumn(cost: number, lower: number, upper: number, integer: boolean): number {
    this.#cost.push(cost);
    this.#columnLower.push(lower);
    this.#columnUpper.push(upper);
    this.#integer.push(integer ? 1 : 0);
    return this.#cost.length - 1;
  }

  #entry(row: number, value: number): void {
    if (value === 0) return;
    this.#indices.push(row);
    this.#values.push(value);
  }

  #closeColumn(): void {
    this.#starts.push(this.#indices.length);
  }
}

/** Cost of a block's column: whole draws pay fraction and opening, part draws pay them apart. */
export function blockCost(level: Level, block: number, kind: 'x' | 'f' | 'z', litres: number) {
  switch (kind) {
    case 'x':
      return level.perFraction[block]! + level.perOpened[block]!;
    case 'f':
      return level.perFraction[block]! - level.perHeelLitre * litres;
    case 'z':
      return level.perOpened[block]! + level.perHeelLitre * litres;
  }
}

/** Fractions drawn of the free blocks, read from a solver's columns. */
export function fractionsOf(
  assembled: AssembledModel,
  values: Float64Array,
): { block: number; fraction: number; whole: boolean }[] {
  const draws: { block: number; fraction: number; whole: boolean }[] = [];
  assembled.free.forEach((block, k) => {
    const x = assembled.wholeColumn[k]!;
    const f = assembled.fractionColumn[k]!;
    const z = assembled.openedColumn[k]!;
    if (x >= 0 && values[x]! > 0.5) draws.push({ block, fraction: 1, whole: true });
    else if (f >= 0 && (z >= 0 ? values[z]! > 0.5 : values[f]! > 1e-9)) {
      const fraction = values[f]!;
      const whole = fraction > 1 - 1e-9;
      draws.push({ block, fraction: whole ? 1 : fraction, whole });
    }
  });
  return draws;
}

/** A list with holes as an array of so many, the holes 0. */
function filled(list: readonly number[], length: number): Float64Array {
  return Float64Array.from({ length }, (_, k) => list[k] ?? 0);
}

/** 1 for blocks that belong to a value of some family. */
function linkedBlocks(model: BlendModel): Uint8Array {
  const linked = new Uint8Array(model.blocks.count);
  for (const family of model.families) for (const block of family.members) linked[block] = 1;
  return linked;
}
