import type { Cask } from '@rundlet/contracts';
import { DomainError } from '../errors.ts';
import type { TrackedStore } from '../journal/tracked-store.ts';

/** @throws DomainError `position-full`, unless the cask stands there already */
export async function requireRoom(
  state: TrackedStore,
  positionId: string,
  standsAt: string | null,
): Promise<void> {
  const position = await state.need('position', positionId, '/body/positionId');
  if (positionId === standsAt) return;
  if (position.occupied >= position.capacity)
    throw new DomainError(
      'position-full',
      `Position ${position.code} holds ${String(position.capacity)} and is full. Choose another, or move what stands there first.`,
      { positionId, capacity: position.capacity, occupied: position.occupied },
      '/body/positionId',
    );
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
