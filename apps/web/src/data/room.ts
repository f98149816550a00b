import type { AisleIndex, AislePosition } from './aisle-index.ts';

/**
 * Positions with room by what this device knows, in walking order, beginning after `afterId` (a run goes on along the rack).
 * `alsoTaken` are positions given out since the snapshot was made.
 */
export function positionsWithRoom(
  index: AisleIndex,
  options: { zoneId?: string | null; afterId?: string | null; alsoTaken?: readonly string[] } = {},
): AislePosition[] {
  const { zoneId = null, afterId = null, alsoTaken = [] } = options;
  const taken = new Map<string, number>();
  const take = (id: string): void => {
    taken.set(id, (taken.get(id) ?? 0) + 1);
  };
  for (const cask of index.snapshot.casks) if (cask.positionId) take(cask.positionId);
  for (const id of alsoTaken) take(id);
  const free = index.snapshot.positions
    .filter(
      (position) =>
        (zoneId === null || position.zoneId === zoneId) &&
        (taken.get(position.id) ?? 0) < position.capacity,
    )
    .sort((a, b) => a.walkOrder - b.walkOrder);
  const from = afterId ? (index.positionById.get(afterId)?.walkOrder ?? -1) : -1;
  const later = free.filter((position) => position.walkOrder >= from);
  return [...later, ...free.filter((position) => position.walkOrder < from)];
}

/** Positions whose code or place words hold all the typed pieces. */
export function searchPositions(index: AisleIndex, text: string): AislePosition[] {
  const pieces = text
    .toUpperCase()
    .split(/[\s·,/-]+/)
    .filter(Boolean);
  if (pieces.length === 0) return [];
  const found: AislePosition[] = [];
  for (const position of index.snapshot.positions) {
    const place = [position.row, position.bay, position.level, position.slot].map((part) =>
      part.toUpperCase(),
    );
    const byCode = position.code.startsWith(pieces.join(''));
    const byPlace = pieces.length <= 4 && pieces.every((piece, i) => place[i]?.startsWith(piece));
    if (byCode || byPlace) found.push(position);
    if (found.length === 8) break;
  }
  return found;
}
