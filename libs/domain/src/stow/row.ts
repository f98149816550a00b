import type { Place } from '@rundlet/contracts';

/** A place and what stands there. */
export interface Stand<C = unknown> {
  readonly position: Place;
  readonly casks: readonly C[];
}

/** Which row of which zone a place is in. */
export const rowKey = ({ zoneId, row }: Pick<Place, 'zoneId' | 'row'>): string =>
  `${zoneId} ${row}`;

/** Places by their row. */
export function rowsOf<C>(stands: readonly Stand<C>[]): Map<string, Stand<C>[]> {
  const rows = new Map<string, Stand<C>[]>();
  for (const stand of stands) {
    const key = rowKey(stand.position);
    const known = rows.get(key);
    if (known) known.push(stand);
    else rows.set(key, [stand]);
  }
  return rows;
}

/** The order in which rows, bays, levels and slots stand: by name, bay 2 before bay 10. */
export const byName = new Intl.Collator('en', { numeric: true }).compare;

/** Where a place is in its row. */
export interface Spot {
  readonly bay: number;
  readonly level: number;
  readonly slot: string;
}

/** Bays and levels of a row as numbers, from its names alone. */
export function spotsOf(row: readonly Stand[]): (place: Place) => Spot {
  const bays = ranks(row.map(({ position }) => position.bay));
  const levels = ranks(row.map(({ position }) => position.level));
  return ({ bay, level, slot }) => ({
    bay: bays.get(bay) ?? -1,
    level: levels.get(level) ?? -1,
    slot,
  });
}

const ranks = (names: readonly string[]): Map<string, number> =>
  new Map([...new Set(names)].sort(byName).map((name, i) => [name, i]));

/** What is lifted as one: a cask's place on dunnage, a pallet with all its slots. */
export const liftKey = (kind: 'dunnage' | 'palletised', { bay, level, slot }: Spot): string =>
  `${String(bay)} ${String(level)}${kind === 'dunnage' ? ` ${slot}` : ''}`;

export type Side = 'low' | 'high' | 'front';
export const SIDES = {
  'lowest-bay': ['low'],
  'highest-bay': ['high'],
  'both-ends': ['low', 'high'],
  'every-bay': ['front'],
} as const satisfies Record<string, readonly Side[]>;

/**
 * Whether what stands at `here` must go before a cask can leave `wanted` by that side, or come to it. On dunnage a cask
 * rolls along its own tier, so tiers below stay, and whatever lies on the casks in its way goes first. Pallets are fetched
 * by a truck on the floor, so a whole stack that stands nearer goes. Common practice, no published source.
 */
export function isInTheWay(
  kind: 'dunnage' | 'palletised',
  side: Side,
  here: Spot,
  wanted: Spot,
): boolean {
  if (kind === 'dunnage' && here.slot !== wanted.slot) return false;
  if (here.bay === wanted.bay) return here.level > wanted.level;
  const nearer =
    side === 'low' ? here.bay < wanted.bay : side === 'high' ? here.bay > wanted.bay : false;
  return nearer && (kind === 'palletised' || here.level >= wanted.level);
}
