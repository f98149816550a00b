import type { AisleCask, AisleIndex, AislePosition } from '../../data/aisle-index.ts';

export interface Slot {
  readonly position: AislePosition;
  readonly casks: readonly AisleCask[];
}
/** One rack row seen from the front: bays from left to right, levels from the top down. */
export interface RackRow {
  readonly name: string;
  readonly bays: readonly string[];
  readonly levels: readonly string[];
  readonly at: ReadonlyMap<string, readonly Slot[]>;
}
export const cellKey = (bay: string, level: string): string => `${bay}\u0000${level}`;

/** The rows of a zone as the site names them; the drawing comes from those names alone. */
export function racksOf(index: AisleIndex, zoneId: string): RackRow[] {
  const casksAt = new Map<string, AisleCask[]>();
  for (const cask of index.snapshot.casks)
    if (cask.positionId)
      casksAt.set(cask.positionId, [...(casksAt.get(cask.positionId) ?? []), cask]);
  const rows = new Map<string, Slot[]>();
  for (const position of index.snapshot.positions) {
    if (position.zoneId !== zoneId) continue;
    const slot = { position, casks: casksAt.get(position.id) ?? [] };
    rows.set(position.row, [...(rows.get(position.row) ?? []), slot]);
  }
  return [...rows].sort(([a], [b]) => byName(a, b)).map(([name, slots]) => rackRow(name, slots));
}

function rackRow(name: string, slots: readonly Slot[]): RackRow {
  const at = new Map<string, Slot[]>();
  for (const slot of slots) {
    const key = cellKey(slot.position.bay, slot.position.level);
    at.set(key, [...(at.get(key) ?? []), slot]);
  }
  for (const cell of at.values()) cell.sort((a, b) => byName(a.position.slot, b.position.slot));
  return {
    name,
    bays: distinct(slots.map(({ position }) => position.bay)),
    levels: distinct(slots.map(({ position }) => position.level)).reverse(),
    at,
  };
}

/** Casks on higher levels of the same bay and slot: in a stow without racks they come down first. */
export function above(row: RackRow, position: AislePosition): readonly AisleCask[] {
  const higher = row.levels.slice(0, row.levels.indexOf(position.level));
  return higher.flatMap((level) =>
    (row.at.get(cellKey(position.bay, level)) ?? [])
      .filter((slot) => slot.position.slot === position.slot)
      .flatMap(({ casks }) => casks),
  );
}

const byName = (a: string, b: string): number => a.localeCompare(b, 'en', { numeric: true });
const distinct = (names: readonly string[]): string[] => [...new Set(names)].sort(byName);
