import type { Cask } from '@rundlet/contracts';
import { positionFull, type TrackedStore } from '../journal/tracked-store.ts';

/** @throws DomainError `position-full`, unless the cask stands there already */
export async function requireRoom(
  state: TrackedStore,
  positionId: string,
  standsAt: string | null,
): Promise<void> {
  const position = await state.need('position', positionId, '/body/positionId');
  if (positionId === standsAt) return;
  if (position.occupied >= position.capacity) throw positionFull(position, '/body/positionId');
}

/** Take a place; gives the cask's new standing. */
export async function standAt(
  state: TrackedStore,
  positionId: string,
  at: string,
): Promise<Pick<Cask, 'positionId' | 'storeId' | 'zoneId' | 'positionSince'>> {
  const position = await state.need('position', positionId);
  await state.changeOccupied(positionId, 1);
  return { positionId, storeId: position.storeId, zoneId: position.zoneId, positionSince: at };
}

export async function leavePosition(state: TrackedStore, positionId: string): Promise<void> {
  await state.changeOccupied(positionId, -1);
}
