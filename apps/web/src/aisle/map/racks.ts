import type { Stow } from '@rundlet/contracts';
import { byName, toShift, type Stand } from '@rundlet/domain';
import {
  stowOf,
  type AisleCask,
  type AisleIndex,
  type AislePosition,
} from '../../data/aisle-index.ts';

export type Slot = Stand<AisleCask>;
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

/** The way to a place: how its zone is stowed, what is shifted first, and who shares its place or pallet. */
export interface Way {
  readonly stow: Stow | null;
  readonly lifts: readonly (readonly Slot[])[];
  readonly beside: readonly AisleCask[];
}
export function wayTo(
  index: AisleIndex,
  row: RackRow,
  wanted: AislePosition,
  caskId: string | null,
): Way {
  const zone = index.snapshot.zones.find(({ id }) => id === wanted.zoneId);
  const stow = zone ? stowOf(zone) : null;
  const slots = [...row.at.values()].flat();
  const beside = slots
    .filter(({ position: { id, bay, level } }) =>
      stow?.kind === 'palletised' ? bay === wanted.bay && level === wanted.level : id === wanted.id,
    )
    .flatMap(({ casks }) => casks)
    .filter(({ id }) => id !== caskId);
  return { stow, lifts: stow ? toShift(stow, slots, wanted) : [], beside };
}

const distinct = (names: readonly string[]): string[] => [...new Set(names)].sort(byName);
