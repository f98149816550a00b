import { scoreOf, shareMatching, sharesByValue } from './attribute.ts';
import type { Formulation } from './formulate.ts';
import type { EachShareWish, ShareBasis, Wish } from './wish.ts';

/**
 * Adds the rows of every wish that is neither a window of the vat nor a filter of single casks.
 * @returns the row that counts casks drawn in part, or −1.
 */
export function addWishRows(f: Formulation): number {
  let partCountRow = -1;
  for (const wish of f.problem.wishes) {
    if (wish.kind === 'take' && wish.mostPartCasks !== undefined)
      partCountRow = f.rows.addRow(wish.id, 0, wish.mostPartCasks);
    else addRowsOf(wish, f);
  }
  for (const lock of f.problem.locks ?? []) requireOpened(f, `lock:${lock.caskId}`, lock.caskId);
  return partCountRow;
}

function addRowsOf(wish: Wish, f: Formulation): void {
  switch (wish.kind) {
    case 'share': {
      const share = (block: number): number =>
        shareMatching(caskOf(f, block), wish.attribute, wish.among);
      if (wish.floor !== undefined) addMeanRow(f, wish.id, wish.of, share, wish.floor, 'at-least');
      if (wish.cap !== undefined) addMeanRow(f, wish.id, wish.of, share, wish.cap, 'at-most');
      return;
    }
    case 'score': {
      // Casks without the figure are filtered out, so 0 is never read here.
      const score = (block: number): number => scoreOf(caskOf(f, block), wish.attribute) ?? 0;
      if (wish.low !== undefined) addCentredRow(f, wish.id, wish.of, score, wish.low, 'at-least');
      if (wish.high !== undefined) addCentredRow(f, wish.id, wish.of, score, wish.high, 'at-most');
      return;
    }
    case 'mean-age': {
      const age = (block: number): number => caskOf(f, block).ageYears;
      if (wish.leastYears !== undefined)
        addCentredRow(f, wish.id, 'lpa', age, wish.leastYears, 'at-least');
      if (wish.mostYears !== undefined)
        addCentredRow(f, wish.id, 'lpa', age, wish.mostYears, 'at-most');
      return;
    }
    case 'each-share':
      addEachShareRows(f, wish);
      return;
    case 'distinct':
      if ((wish.leastShareOfLpa ?? 0) > 0 && wish.atLeast !== undefined) {
        addDistinctByShare(f, wish.id, wish.attribute, wish.atLeast, wish.leastShareOfLpa!);
      } else if (wish.atLeast !== undefined)
        f.families.addFloor(wish.id, wish.attribute, wish.atLeast);
      if (wish.atMost !== undefined) f.families.addCap(wish.id, wish.attribute, wish.atMost);
      return;
    case 'row-count':
      if (wish.atLeast !== undefined) f.families.addFloor(wish.id, 'location.row', wish.atLeast);
      if (wish.atMost !== undefined) f.families.addCap(wish.id, 'location.row', wish.atMost);
      return;
    case 'cask-count': {
      const row = f.rows.addRow(wish.id, wish.atLeast ?? 0, wish.atMost ?? Infinity);
      for (let b = 0; b < f.blocks.count; b++) f.rows.perOpened(row, b, 1);
      return;
    }
    case 'budget': {
      const row = f.rows.addRow(wish.id, -Infinity, wish.mostCost);
      for (let b = 0; b < f.blocks.count; b++)
        f.rows.perFraction(row, b, lpaOf(f, b) * caskOf(f, b).costPerLitrePureAlcohol);
      return;
    }
    case 'differ': {
      const row = f.rows.addRow(wish.id, -Infinity, wish.caskIds.length - wish.byAtLeast);
      const named = new Set(wish.caskIds);
      for (let b = 0; b < f.blocks.count; b++)
        if (named.has(caskOf(f, b).id)) f.rows.perOpened(row, b, 1);
      return;
    }
    case 'include':
      for (const id of wish.caskIds) requireOpened(f, wish.id, id);
      return;
    default:
      return;
  }
}

/** A cask that must be opened: a row only when it is not eligible, else its block says so. */
function requireOpened(f: Formulation, wishId: string, caskId: string): void {
  const index = f.stock.casks.findIndex((cask) => cask.id === caskId);
  if (f.blockOfCask[index] === -1) f.rows.addRow(wishId, 1, Infinity);
}

/** Σ basis·share ≥ (≤) limit·total: two columns for the total keep the row sparse. */
function addMeanRow(
  f: Formulation,
  wishId: string,
  of: ShareBasis,
  share: (block: number) => number,
  limit: number,
  side: 'at-least' | 'at-most',
): void {
  const row = addSidedRow(f, wishId, side);
  for (let b = 0; b < f.blocks.count; b++) f.rows.perFraction(row, b, basisOf(f, b, of) * share(b));
  f.rows.perGlobal(row, of === 'lpa' ? f.lpa : f.bulkDrawn(), -limit);
}

/** Σ basis·(figure − limit) ≥ (≤) 0: every cask has the figure, so nothing is gained by a total. */
function addCentredRow(
  f: Formulation,
  wishId: string,
  of: ShareBasis,
  figure: (block: number) => number,
  limit: number,
  side: 'at-least' | 'at-most',
): void {
  const row = addSidedRow(f, wishId, side);
  for (let b = 0; b < f.blocks.count; b++)
    f.rows.perFraction(row, b, basisOf(f, b, of) * (figure(b) - limit));
}

function addSidedRow(f: Formulation, wishId: string, side: 'at-least' | 'at-most'): number {
  return side === 'at-least'
    ? f.rows.addRow(wishId, 0, Infinity)
    : f.rows.addRow(wishId, -Infinity, 0);
}

/** One row for each value that could give more than its cap; the others cannot break the wish. */
function addEachShareRows(f: Formulation, wish: EachShareWish): void {
  const byValue = new Map<string, [block: number, amount: number][]>();
  for (let b = 0; b < f.blocks.count; b++)
    for (const [value, share] of sharesByValue(caskOf(f, b), wish.attribute)) {
      const list = byValue.get(value);
      const entry: [number, number] = [b, basisOf(f, b, wish.of) * share];
      if (list) list.push(entry);
      else byValue.set(value, [entry]);
    }
  const total = wish.of === 'lpa' ? f.lpa : f.bulkDrawn();
  const leastTotal = wish.of === 'lpa' ? (f.reach.litres[0] * f.reach.percentVol[0]) / 100 : 0;
  for (const entries of byValue.values()) {
    let most = 0;
    for (const [, amount] of entries) most += amount;
    if (most <= wish.cap * leastTotal) continue;
    const row = f.rows.addRow(wish.id, -Infinity, 0);
    for (const [b, amount] of entries) f.rows.perFraction(row, b, amount);
    f.rows.perGlobal(row, total, -wish.cap);
  }
}

/** y_v = 1 only if value v gives its share: Σ_v LPA − s·T ≥ −s·T_most·(1 − y_v), and Σ y ≥ k. */
function addDistinctByShare(
  f: Formulation,
  wishId: string,
  attribute: string,
  atLeast: number,
  leastShare: number,
): void {
  const mostLpa = (f.reach.litres[1] * f.reach.percentVol[1]) / 100;
  const count = f.rows.addRow(wishId, atLeast, Infinity);
  const rowOfValue = new Map<string, number>();
  for (let b = 0; b < f.blocks.count; b++)
    for (const [value, share] of sharesByValue(caskOf(f, b), attribute)) {
      let row = rowOfValue.get(value);
      if (row === undefined) {
        row = f.rows.addRow(null, -leastShare * mostLpa, Infinity);
        rowOfValue.set(value, row);
        const y = f.rows.addGlobal(`${attribute}=${value}`, 0, 1, true);
        f.rows.perGlobal(row, y, -leastShare * mostLpa);
        f.rows.perGlobal(row, f.lpa, -leastShare);
        f.rows.perGlobal(count, y, 1);
      }
      f.rows.perFraction(row, b, lpaOf(f, b) * share);
    }
}

function caskOf(f: Formulation, block: number) {
  return f.stock.casks[f.blocks.cask[block]!]!;
}

function lpaOf(f: Formulation, block: number): number {
  return f.stock.litresPureAlcohol[f.blocks.cask[block]!]!;
}

function basisOf(f: Formulation, block: number, of: ShareBasis): number {
  return of === 'lpa' ? lpaOf(f, block) : f.blocks.litres[block]!;
}
