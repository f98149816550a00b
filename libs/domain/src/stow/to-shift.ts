import type { Place, Stow } from '@rundlet/contracts';
import { isInTheWay, liftKey, SIDES, spotsOf, type Side, type Stand } from './row.ts';

/**
 * What must be shifted to reach a place, or to put a cask there: lifts in the order they are done, each the stands that
 * move together, none of them empty. `row` holds every place of the zone's row. Of two ends the one with less work is
 * taken. What shares the wanted place, or its pallet, is not named.
 */
export function toShift<S extends Stand>(stow: Stow, row: readonly S[], wanted: Place): S[][] {
  if (stow.kind === 'racked') return [];
  const ways = SIDES[stow.mouth].map((side) => liftsFrom(stow.kind, side, row, wanted));
  return ways.reduce((least, way) => (liftsOf(stow, way) < liftsOf(stow, least) ? way : least));
}

/** How many times something is lifted: a pallet goes in one, casks on dunnage one by one. */
export function liftsOf(stow: Stow, lifts: readonly (readonly Stand[])[]): number {
  if (stow.kind === 'palletised') return lifts.length;
  return lifts.flat().reduce((sum, { casks }) => sum + casks.length, 0);
}

function liftsFrom<S extends Stand>(
  kind: 'dunnage' | 'palletised',
  side: Side,
  row: readonly S[],
  wanted: Place,
): S[][] {
  const spotOf = spotsOf(row);
  const target = spotOf(wanted);
  const inWay = row
    .filter(({ casks }) => casks.length > 0)
    .map((stand) => ({ stand, spot: spotOf(stand.position) }))
    .filter(({ spot }) => isInTheWay(kind, side, spot, target));
  // From the mouth inwards, and in each bay from the top down: nothing then lies on, or before, what is lifted next.
  const inwards = side === 'high' ? -1 : 1;
  inWay.sort((a, b) => inwards * (a.spot.bay - b.spot.bay) || b.spot.level - a.spot.level);
  const lifts = new Map<string, S[]>();
  for (const { stand, spot } of inWay) {
    const key = liftKey(kind, spot);
    lifts.set(key, [...(lifts.get(key) ?? []), stand]);
  }
  return [...lifts.values()];
}
