import { suggestPositions, type Stand, type Stowed, type SuggestedPosition } from '@rundlet/domain';
import { stowOf, type AisleCask, type AisleIndex, type AislePosition } from './aisle-index.ts';

/** What counts of a cask that a place is looked for. */
export type ToPut = Pick<AisleCask, 'id' | 'nominalLitres' | 'woodSpecies'>;

/**
 * Places for a cask by what this device knows, which is neither parcels nor owners. `alsoTaken` are positions given out
 * since the snapshot was made.
 */
export function suggestHere(
  index: AisleIndex,
  cask: ToPut,
  {
    fromId,
    alsoTaken,
    limit,
  }: { fromId: string | null; alsoTaken: readonly string[]; limit: number },
): readonly SuggestedPosition[] {
  const standing = new Map<string, Stowed[]>();
  const put = (positionId: string, { nominalLitres, woodSpecies }: ToPut): void => {
    const stowed = { nominalLitres, woodSpecies, lotId: null, accountId: null };
    standing.set(positionId, [...(standing.get(positionId) ?? []), stowed]);
  };
  for (const one of index.snapshot.casks)
    if (one.positionId && one.id !== cask.id) put(one.positionId, one);
  for (const id of alsoTaken) put(id, cask);
  return suggestPositions({
    cask: { ...cask, lotId: null, accountId: null },
    stands: index.snapshot.positions.map((position): Stand<Stowed> => ({
      position,
      casks: standing.get(position.id) ?? [],
    })),
    stowOf: new Map(index.snapshot.zones.map((zone) => [zone.id, stowOf(zone)])),
    standsAt: index.caskById.get(cask.id)?.positionId ?? null,
    from: index.positionById.get(fromId ?? '')?.walkOrder ?? null,
    limit,
  });
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
